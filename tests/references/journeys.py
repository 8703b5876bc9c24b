"""The page as makers go through it, in a real browser, from an empty page to files.

    journeys.py PROGRAM FOLDER JOURNEY [PICTURES]

PROGRAM is flapwright; FOLDER is empty. What is downloaded is compared byte for byte with what the command line
makes of the job that the page saved. Prints {"wrong": [...], "told": {...}} as JSON: what went wrong, and figures.
PICTURES is a folder into which pictures of the page go.
"""

import hashlib
import io
import json
import os
import re
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

from browser import Browser

PROGRAM, FOLDER, JOURNEY = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
PICTURES = Path(sys.argv[4]) if len(sys.argv) > 4 else None
wrong, told = [], {}


class Page:
    """The program serving its page from a folder of its own."""

    def __init__(self, name, *job):
        self.folder = FOLDER / name
        self.folder.mkdir(parents=True, exist_ok=True)
        self.state = FOLDER / f"{name}-state"
        self.start(*job)

    def start(self, *job):
        env = dict(os.environ, XDG_STATE_HOME=str(self.state))
        self.process = subprocess.Popen([PROGRAM, "page", *job, "--no-browser"], cwd=self.folder, env=env,
                                        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        for line in self.process.stdout:
            found = re.search(r"http://\S+", line)
            if found:
                self.url = found.group()
                return
        raise RuntimeError("the page gives no address")

    def end(self, how=signal.SIGINT):
        self.process.send_signal(how)
        return self.process.wait(20)


# What every journey does on the page, as scripts.
READY = "return document.querySelector('[data-key=\"contents.width\"]') && document.querySelectorAll('button.side').length === 4"
class Visit:
    def __init__(self, browser, page):
        self.b, self.page = browser, page
        browser.go(page.url)
        browser.wait(READY)

    def view(self):
        """What the server shows now."""
        return self.b.run("""
            const done = new XMLHttpRequest(); done.open('GET', 'api/view', false); done.send();
            return JSON.parse(done.responseText);""")

    def until(self, what, test):
        end = time.monotonic() + 60
        while not test(view := self.view()):
            if time.monotonic() > end:
                raise RuntimeError(f"never: {what}; {json.dumps(view['findings'])[:600]}")
            time.sleep(0.1)
        return view

    def field(self, key, text, within=""):
        """Types into the field of a key and leaves it."""
        css = f'{within} input[data-key="{key}"]'
        self.b.run("""
            for (let e = document.querySelector(arguments[0]); e; e = e.parentElement) if (e.tagName === 'DETAILS') e.open = true;
            document.querySelector(arguments[0]).scrollIntoView({block: 'center'});""", css)
        self.b.type(css, text + "\ue004")
        self.until(f"{key} = {text}", lambda v: v["values"].get(key, {}).get("text") == text)

    def choose(self, key, word):
        css = f'select[data-key="{key}"]'
        self.b.run("""
            const e = document.querySelector(arguments[0]);
            for (let p = e; p; p = p.parentElement) if (p.tagName === 'DETAILS') p.open = true;
            e.value = arguments[1]; e.dispatchEvent(new Event('input', {bubbles: true})); e.dispatchEvent(new Event('change', {bubbles: true}));""",
                   css, word)
        self.until(f"{key} = {word}", lambda v: v["values"].get(key, {}).get("text") == word)

    def press(self, words, within="body"):
        """Presses the button of these words."""
        self.b.wait("""
            const all = [...document.querySelectorAll(arguments[0] + ' button, ' + arguments[0] + ' a')];
            const one = all.find((e) => e.getClientRects().length && !e.disabled &&
                ((e.getAttribute('aria-label') ?? '') === arguments[1] || e.textContent.trim().startsWith(arguments[1])));
            if (!one) return false;
            one.scrollIntoView({block: 'center'}); one.click(); return true;""", within, words)

    def lids(self, wanted):
        """Presses sides until these have lids."""
        for side in ("head", "left", "right", "tail"):
            has = self.view()["values"].get(f"flap.{side}", {}).get("given", False)
            if has != (side in wanted):
                self.b.run("const e = document.querySelector(`button.side[data-side=${arguments[0]}]`); e.scrollIntoView({block: 'center'}); e.click()", side)
                self.until(f"{side} lid", lambda v: v["values"].get(f"flap.{side}", {}).get("given", False) == (side in wanted))

    def station(self, words):
        self.press(words, "nav")
        time.sleep(0.3)

    def errors(self):
        return [f["message"] for f in self.view()["findings"] if f["severity"] == "error"]

    def take(self, words, name, down):
        """Downloads a file; its bytes."""
        file = down / name
        file.unlink(missing_ok=True)
        self.station("Take away")
        self.press(f"Download {words}", "#take")
        return arrived(down, name)

    def save(self, name):
        self.station("Take away")
        self.b.run("const f = document.querySelector('#keep input'); f.value = arguments[0]; f.dispatchEvent(new Event('input', {bubbles: true}))", name)
        self.press("Save", "#keep")
        self.until("saved", lambda v: v["saved"] and v["name"] == name)
        return self.page.folder / name

    def shown(self, name):
        if PICTURES:
            self.b.picture(PICTURES / name)


def arrived(down, name):
    end = time.monotonic() + 120
    while time.monotonic() < end:
        found = [f for f in down.iterdir() if not f.name.endswith(".crdownload") and (f.name == name or f.name.endswith(name))]
        if found and found[0].stat().st_size:
            data = found[0].read_bytes()
            found[0].unlink()
            return data
        time.sleep(0.1)
    raise RuntimeError(f"{name} never came; there is {[f.name for f in down.iterdir()]}")


def exported(job, *more):
    out = FOLDER / f"out-{hashlib.sha256(' '.join(map(str, [job, *more])).encode()).hexdigest()[:8]}"
    done = subprocess.run([PROGRAM, "export", job, "--out", out, *more], capture_output=True, text=True)
    if done.returncode:
        raise RuntimeError(f"export: {done.stderr[-600:]}")
    return {f.name: f.read_bytes() for f in out.iterdir()}


def unzipped(data):
    with zipfile.ZipFile(io.BytesIO(data)) as z:
        return {name.split("/")[-1]: z.read(name) for name in z.namelist()}


def same(what, ours, theirs, names=None):
    for name in sorted(names if names is not None else ours):
        if name not in theirs:
            wrong.append(f"{what}: {name} is not what export makes ({sorted(theirs)})")
        elif ours.get(name) != theirs[name]:
            wrong.append(f"{what}: {name} differs from what export makes")


def expect(what, is_so):
    if not is_so:
        wrong.append(what)


def down_of(name):
    down = FOLDER / f"{name}-down"
    down.mkdir(parents=True, exist_ok=True)
    return down


def knife():
    """A printmaker with a knife and a straight edge: four lids, templates and guide to print."""
    page, down = Page("knife"), down_of("knife")
    with Browser(1280, 900, down) as b:
        v = Visit(b, page)
        for key, text in [("contents.width", "8 1/2 in"), ("contents.height", "279,4 mm"), ("contents.depth", "14 mm"), ("board.thickness", "98 pt")]:
            v.field(key, text, "#measure")
        v.lids(["head", "left", "right", "tail"])
        expect(f"errors: {v.errors()}", not v.errors())
        # The box is drawn, and looks otherwise when it is closed.
        v.station("Fold")
        pictures = []
        for share in ("0", "30", "60"):
            b.run("const s = document.querySelector('#fold input[type=range]'); s.value = arguments[0]; s.dispatchEvent(new Event('input', {bubbles: true}))", share)
            time.sleep(1.0)
            element = b.find("#fold canvas, #fold svg")
            pictures.append(b.ask("GET", f"{b.session}/element/{element}/screenshot"))
        expect("the box looks the same flat, half folded and closed", len(set(pictures)) == 3)
        v.shown("page-fold.png")
        job = v.save("knife.toml")
        made = exported(job)
        same("templates", {"templates.pdf": v.take("templates", "templates.pdf", down)}, made)
        same("guide", {"guide.pdf": v.take("guide", "guide.pdf", down)}, made)
        v.station("Measure")
        v.shown("page-measure.png")
        expect(f"the console says {b.said()}", not b.said())
    expect("Ctrl-C ends it with an error", page.end() == 0)


def shared():
    """DXF for a makerspace's cutter that takes 0.15 mm."""
    page, down = Page("shared"), down_of("shared")
    with Browser(1280, 900, down) as b:
        v = Visit(b, page)
        v.field("contents.width", "160 mm", "#measure")
        v.field("contents.height", "225 mm", "#measure")
        v.lids(["left", "right"])
        job = v.save("shared.toml")
        v.station("Take away")
        b.run("const f = document.querySelector('.kerf input'); f.value = '0.15 mm'; f.dispatchEvent(new Event('input', {bubbles: true}))")
        ours = unzipped(v.take("drawings", "drawings.zip", down))
        theirs = exported(job, "--kerf", "0.15 mm")
        expect("no drawing in the zip", any(n.endswith(".dxf") for n in ours))
        same("drawings", ours, theirs)
        v.station("Lay out")
        time.sleep(0.5)
        v.shown("page-layout.png")
        expect(f"the console says {b.said()}", not b.said())
    page.end()


def coupon():
    """A drag knife set right by a coupon, then programs for it."""
    page, down = Page("coupon"), down_of("coupon")
    with Browser(1280, 1000, down) as b:
        v = Visit(b, page)
        job = v.save("measured.toml")
        v.station("Cut")
        b.run("""
            const label = [...document.querySelectorAll('#cut label')].find((l) => l.textContent.includes('Drag-knife table'));
            (label.control ?? label).click();""")
        b.wait("return [...document.querySelectorAll('#cut button')].some((x) => x.textContent.trim() === 'Download these figures')")
        b.run("for (const d of document.querySelectorAll('#cut details')) if (/coupon/i.test(d.querySelector('summary').textContent)) d.open = true")
        b.run("const s = document.querySelector('.coupon-steps select'); s.value = 'cloth'; s.dispatchEvent(new Event('change', {bubbles: true}))")
        v.press("Make the coupon", "#cut")
        b.wait("return document.querySelectorAll('.made .fields input').length > 0")
        labels = b.run("return [...document.querySelectorAll('.made .fields .row')].map((r) => r.querySelector('label').textContent + ': ' + (r.querySelector('.about')?.textContent ?? ''))")
        told["coupon asks"] = labels
        # A card that is found best by eye; the first letter after A is another offset than the profile's.
        b.run("""
            for (const row of document.querySelectorAll('.made .fields .row')) {
                if (/best/i.test(row.querySelector('label').textContent)) {
                    const f = row.querySelector('input'); f.value = 'B'; f.dispatchEvent(new Event('input', {bubbles: true}));
                }
            }""")
        v.press("See the change", "#cut")
        b.wait("return document.querySelector('.changed table, .changed p') && !/Nothing measured/.test(document.querySelector('.changed').textContent)")
        told["changes"] = b.run("return document.querySelector('.changed').textContent")
        v.press("Keep it", "#cut")
        b.wait("return /Kept/.test(document.querySelector('.changed').textContent)")
        time.sleep(1.0)
        v.shown("page-cut.png")
        v.press("Download these figures", "#cut")
        own = arrived(down, ".toml")
        machine = b.run("""
            const done = new XMLHttpRequest(); done.open('GET', 'api/machines', false); done.send();
            return JSON.parse(done.responseText).find((m) => m.own).id""")
        profile = FOLDER / f"{machine}.toml"
        profile.write_bytes(own)
        ours = unzipped(v.take("programs", "programs.zip", down))
        theirs = exported(job, "--machine", profile)
        expect("no program in the zip", any(machine in n for n in ours))
        same("programs", ours, theirs)
        expect(f"the console says {b.said()}", not b.said())
    page.end()


def creased():
    """A folder creased from thin board."""
    page, down = Page("creased"), down_of("creased")
    with Browser(1280, 900, down) as b:
        v = Visit(b, page)
        v.field("board.thickness", "0.8 mm", "#measure")
        v.choose("box.construction", "creased-board")
        v.field("contents.depth", "5 mm", "#measure")
        view = v.view()
        # What a single number or word mends is mended by pressing it.
        for _ in range(6):
            if not v.errors():
                break
            before = v.view()["revision"]
            if not b.run("""
                const one = [...document.querySelectorAll('.finding button, .note button, .mend, button')].find((x) => x.getClientRects().length && /^(Set|Take|Add|Leave|Write)\\b/.test(x.textContent.trim()) && x.closest('[class*=find], [class*=note], [role=status], [aria-live]'));
                if (one) one.click(); return Boolean(one)"""):
                break
            v.until("mended", lambda x: x["revision"] > before)
        expect(f"errors: {v.errors()}", not v.errors())
        job = v.save("creased.toml")
        ours = unzipped(v.take("the whole folder", "folder.zip", down))
        theirs = exported(job)
        same("folder", ours, theirs)
        same("folder", theirs, ours)
        expect(f"the console says {b.said()}", not b.said())
    page.end()


def edition():
    """An edition of twelve."""
    page, down = Page("edition"), down_of("edition")
    with Browser(1280, 900, down) as b:
        v = Visit(b, page)
        v.field("copies", "12")
        job = v.save("edition.toml")
        ours = unzipped(v.take("the whole folder", "folder.zip", down))
        theirs = exported(job)
        same("folder", ours, theirs)
        same("folder", theirs, ours)
        # The page that stands alone, without a server.
        alone = FOLDER / "alone.html"
        alone.write_bytes(ours["page.html"])
        b.go(alone.as_uri())
        b.wait("return document.querySelectorAll('canvas, svg').length > 1")
        time.sleep(0.5)
        v.shown("page-alone.png")
        waits = "[...document.querySelectorAll('#fold *')].some((e) => !e.children.length && e.getClientRects().length && e.textContent.includes('as soon as it can be built'))"
        expect("the page alone, without programs, draws no box", not b.run(f"return {waits}"))
        expect("the page alone offers to save", not b.run("return [...document.querySelectorAll('button')].some((x) => x.getClientRects().length && x.textContent.trim() === 'Save')"))
        expect(f"the console says {b.said()}", not b.said())
    page.end()


def mishaps():
    """Wrong words, undo, two windows, a server that is killed, narrow and dark windows, speed."""
    page, down = Page("mishaps"), down_of("mishaps")
    with Browser(1280, 900, down) as b:
        v = Visit(b, page)
        v.field("contents.width", "about a hand", "#measure")
        expect("nonsense is no error", any("contents.width" == f["key"] for f in v.view()["findings"] if f["severity"] == "error"))
        expect("the page does not say where it is wrong", b.wait("const e = document.querySelector('#measure input[data-key=\"contents.width\"]'); return e.getAttribute('aria-invalid') === 'true'"))
        v.field("contents.width", "150 mm", "#measure")
        expect(f"errors: {v.errors()}", not v.errors())
        title = "<img src=x onerror=alert(1)> & \"more\""
        v.field("title", title)
        expect("a title became markup", b.run("return document.querySelectorAll('img').length") == 0)
        before = v.view()["values"]["contents.width"]["text"]
        v.field("contents.width", "155 mm", "#measure")
        v.press("Undo")
        v.until("undone", lambda x: x["values"]["contents.width"]["text"] == before)
        v.press("Redo")
        v.until("redone", lambda x: x["values"]["contents.width"]["text"] == "155 mm")
        # Another window changes another figure: neither loses its own.
        with Browser(1000, 800) as c:
            w = Visit(c, page)
            w.field("contents.height", "233 mm", "#measure")
            b.wait("return document.querySelector('#measure input[data-key=\"contents.height\"]').value === '233 mm'")
            v.field("contents.depth", "9 mm", "#measure")
            c.wait("return document.querySelector('#measure input[data-key=\"contents.depth\"]').value === '9 mm'")
            expect("the first window's width is lost", w.view()["values"]["contents.width"]["text"] == "155 mm")
        # From a key to the picture: when the question goes out, when all that it changes is handed to the screen,
        # and when a browser without a graphics card has painted it.
        times = b.ask("POST", b.session + "/execute/async", {"args": [], "script": """
            const done = arguments[arguments.length - 1];
            import('page/store.js').then(({ on }) => {
                const field = document.querySelector('#measure input[data-key="contents.width"]');
                const times = []; let n = 0, from = 0;
                on('view', () => {
                    if (!from) return;
                    const handed = performance.now(), key = from;
                    from = 0;
                    requestAnimationFrame(() => requestAnimationFrame(() => {
                        const asked = performance.getEntriesByType('resource').filter((e) => e.name.includes('api/edit')).pop();
                        times.push([asked.startTime - key, asked.responseEnd - asked.startTime, handed - asked.startTime, performance.now() - asked.startTime]);
                        setTimeout(again, 400);
                    }));
                });
                const again = () => {
                    if (n === 8) return done(times);
                    field.focus(); field.value = (156 + n++) + ' mm';
                    from = performance.now();
                    field.dispatchEvent(new Event('input', {bubbles: true}));
                };
                again();
            });"""})
        for i, what in enumerate(["waits for the next key, ms", "answered, ms", "handed to the screen, ms", "painted without a graphics card, ms"]):
            told[what] = round(sorted(t[i] for t in times)[len(times) // 2], 1)
        # Killed and started again: nothing is lost.
        width = v.view()["values"]["contents.width"]["text"]
        page.end(signal.SIGKILL)
        b.wait("return /gone|away|stopped|not answer|no answer/i.test(document.body.innerText)", seconds=30)
        page.start()
        w = Visit(b, page)
        now = w.view()["values"]
        expect(f"the killed page lost {width}, {now['contents.width']}", now["contents.width"]["text"] == width)
        expect("the killed page lost the title", now["title"]["text"] == title)
        for size in (360, 1000, 2000):
            b.size(size, 900)
            time.sleep(0.4)
            over = b.run("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
            expect(f"at {size} px the page is {over} px too wide", over <= 1)
            if size == 360:
                w.shown("page-narrow.png")
    page.end()


def accessible():
    """axe-core (Deque, as PyPI's axe-core-python carries it) finds nothing at any station, light and dark."""
    import axe_core_python
    script = next(Path(axe_core_python.__file__).parent.rglob("axe.min.js")).read_text()
    page = Page("accessible")
    for look in ("light", "dark"):
        switches = ["--force-dark-mode", "--blink-settings=preferredColorScheme=0"] if look == "dark" else []
        with Browser(1280, 900, switches=switches) as b:
            v = Visit(b, page)
            expect(f"not {look}", b.run("return matchMedia('(prefers-color-scheme: dark)').matches") == (look == "dark"))
            b.run(script + "\nwindow.axe = axe;")
            for station in ("Measure", "Fold", "Lay out", "Cut", "Take away"):
                v.station(station)
                found = b.ask("POST", b.session + "/execute/async", {"args": [], "script":
                    "const done = arguments[arguments.length - 1]; axe.run(document, {resultTypes: ['violations']}).then((r) => done(r.violations.map((x) => x.id + ': ' + x.help + ' ' + x.nodes.slice(0, 2).map((n) => n.html.slice(0, 120)).join(' | '))))"})
                wrong.extend(f"{look}, {station}: {one}" for one in found)
                told["checked"] = told.get("checked", 0) + 1
                # What can be reached has a name to be read out; and the station's own head is among what is said.
                spoken = b.spoken()
                nameless = [role for role, name, is_reached in spoken if is_reached and not name and role not in ("RootWebArea", "generic")]
                expect(f"{look}, {station}: without a name to be read out: {nameless}", not nameless)
                expect(f"{look}, {station}: no heading is said", any(role == "heading" for role, _, _ in spoken))
    # A finger turns the box as a mouse does.
    with Browser(1280, 900) as b:
        v = Visit(b, page)
        v.station("Fold")
        for kind in ("touch", "mouse"):
            time.sleep(0.5)
            before = b.picture()
            b.swipe("canvas", (120, 40), kind)
            time.sleep(0.5)
            expect(f"the box does not turn by {kind}", b.picture() != before)
        expect(f"errors: {v.errors()}", not v.errors())
    page.end()


try:
    {"knife": knife, "shared": shared, "coupon": coupon, "creased": creased, "edition": edition,
     "mishaps": mishaps, "accessible": accessible}[JOURNEY]()
except Exception as e:  # noqa: BLE001 - the test is told whatever happened
    import traceback
    if PICTURES and Browser.open:
        Browser.open[-1].picture(PICTURES / f"wrong-{JOURNEY}.png")
    wrong.append(f"{type(e).__name__}: {e} ({traceback.extract_tb(e.__traceback__)[-1].lineno}, {[f.lineno for f in traceback.extract_tb(e.__traceback__)]})")
for left in list(Browser.open):
    left.close()
print(json.dumps({"wrong": wrong, "told": told}))
