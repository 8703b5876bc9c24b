"""A browser driven over WebDriver (W3C WebDriver, plain HTTP), with nothing but Python's own library.

Debian's `chromium` and `chromedriver`. The switches keep it from looking for anything outside this machine.
"""

import base64
import json
import os
import shutil
import socket
import subprocess
import tempfile
import time
import urllib.error
import urllib.request

ELEMENT = "element-6066-11e4-a52e-4f735466cecf"
SWITCHES = [
    "--headless", "--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
    "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--disable-dev-shm-usage",
]


def free_port():
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return s.getsockname()[1]


class Browser:
    """One window, to be used in `with`."""

    # Those that are open; one that a mistake left is looked at before it is closed.
    open = []

    def __init__(self, width=1280, height=900, downloads=None, switches=()):
        self.profile = tempfile.mkdtemp(prefix="browser-")
        port = free_port()
        self.driver = subprocess.Popen(
            [shutil.which("chromedriver") or "chromedriver", f"--port={port}", "--log-level=OFF"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        self.base = f"http://127.0.0.1:{port}"
        until = time.monotonic() + 30
        while True:
            try:
                if self.ask("GET", "/status")["ready"]:
                    break
            except OSError:
                pass
            if time.monotonic() > until:
                raise RuntimeError("chromedriver does not answer")
            time.sleep(0.1)
        args = SWITCHES + [f"--user-data-dir={self.profile}", f"--window-size={width},{height}", *switches]
        options = {"args": args}
        if downloads:
            options["prefs"] = {
                "download.default_directory": str(downloads), "download.prompt_for_download": False,
                # Several, one after another, without a hand that agrees to each.
                "profile.default_content_setting_values.automatic_downloads": 1,
            }
        capabilities = {"browserName": "chrome", "goog:chromeOptions": options, "goog:loggingPrefs": {"browser": "ALL"}}
        made = self.ask("POST", "/session", {"capabilities": {"alwaysMatch": capabilities}})
        self.session = f"/session/{made['sessionId']}"
        # A machine with other work paints a picture in seconds.
        self.ask("POST", self.session + "/timeouts", {"script": 110000})

    def __enter__(self):
        Browser.open.append(self)
        return self

    def __exit__(self, kind, *_):
        if kind:
            return
        self.close()

    def close(self):
        if self in Browser.open:
            Browser.open.remove(self)
        try:
            self.ask("DELETE", self.session)
        except OSError:
            pass
        self.driver.terminate()
        self.driver.wait(20)
        shutil.rmtree(self.profile, ignore_errors=True)

    def ask(self, method, path, body=None):
        data = None if method == "GET" or method == "DELETE" else json.dumps(body or {}).encode()
        request = urllib.request.Request(self.base + path, data, {"Content-Type": "application/json"}, method=method)
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as e:
            value = json.load(e)["value"]
            raise RuntimeError(f"{value.get('error')}: {value.get('message', '').splitlines()[0]}") from None

    def go(self, url):
        self.ask("POST", self.session + "/url", {"url": url})

    def run(self, script, *args):
        return self.ask("POST", self.session + "/execute/sync", {"script": script, "args": list(args)})

    def wait(self, script, *args, seconds=60):
        """Until the script gives something true; that."""
        until = time.monotonic() + seconds
        while True:
            found = self.run(script, *args)
            if found:
                return found
            if time.monotonic() > until:
                raise RuntimeError(f"never came true: {script}")
            time.sleep(0.05)

    def find(self, css):
        return self.ask("POST", self.session + "/element", {"using": "css selector", "value": css})[ELEMENT]

    def click(self, css):
        self.ask("POST", f"{self.session}/element/{self.find(css)}/click")

    def type(self, css, text):
        """Replaces what stands in a field."""
        element = self.find(css)
        self.run("arguments[0].focus(); arguments[0].select && arguments[0].select()", {ELEMENT: element})
        self.ask("POST", f"{self.session}/element/{element}/value", {"text": text})

    def keys(self, *keys):
        actions = [{"type": kind, "value": key} for key in keys for kind in ("keyDown", "keyUp")]
        self.ask("POST", self.session + "/actions", {"actions": [{"type": "key", "id": "keys", "actions": actions}]})

    def swipe(self, css, by, kind="touch"):
        """Draws a finger (or a mouse) over the middle of an element by so many pixels."""
        element = self.find(css)
        at = {ELEMENT: element}
        moves = [{"type": "pointerMove", "duration": 0, "origin": at, "x": 0, "y": 0}, {"type": "pointerDown", "button": 0}]
        moves += [{"type": "pointerMove", "duration": 30, "origin": at, "x": by[0] * i // 4, "y": by[1] * i // 4} for i in range(1, 5)]
        moves.append({"type": "pointerUp", "button": 0})
        self.ask("POST", self.session + "/actions", {"actions": [
            {"type": "pointer", "id": kind, "parameters": {"pointerType": kind}, "actions": moves}]})

    def spoken(self):
        """What the browser tells a screen reader: the role and the name of everything that is not hidden from it."""
        tree = self.ask("POST", self.session + "/goog/cdp/execute", {"cmd": "Accessibility.getFullAXTree", "params": {}})
        text = lambda node, key: str(node.get(key, {}).get("value", ""))
        focusable = lambda node: any(p["name"] == "focusable" and p["value"]["value"] for p in node.get("properties", []))
        return [(text(n, "role"), text(n, "name"), focusable(n)) for n in tree["nodes"] if not n.get("ignored")]

    def size(self, width, height):
        self.ask("POST", self.session + "/window/rect", {"width": width, "height": height})

    def picture(self, path=None):
        png = base64.b64decode(self.ask("GET", self.session + "/screenshot"))
        if path:
            with open(path, "wb") as f:
                f.write(png)
        return png

    def said(self):
        """What the page said at its console, errors alone."""
        log = self.ask("POST", self.session + "/se/log", {"type": "browser"})
        return [entry["message"] for entry in log if entry["level"] == "SEVERE"]
