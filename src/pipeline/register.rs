//! Sheets in register: marks that were measured, taken to the sheets and machines that they are of.

use super::programs::serves;
use super::{LeftOut, Machine, Worked};
use crate::diag::{Diagnostic, listed};
use crate::geom::{Point, Transform, pt};
use crate::job::Job;
use crate::nest::Sheet;
use crate::register::form::Marks;
use crate::register::{Bed, Register, register};
use crate::write::artwork::Artwork;

/// The registers of these files of marks, and what there is to say of each, in their order.
pub fn registers(
    files: &[&Marks],
    job: &Job,
    worked: &Worked,
    machines: &[Machine],
    left: &[LeftOut],
) -> (Vec<Register>, Vec<Vec<Diagnostic>>) {
    let (mut all, mut said): (Vec<Register>, Vec<Vec<Diagnostic>>) = (Vec::new(), Vec::new());
    for file in files {
        let (found, mut more) = one(file, job, worked, machines, left).unwrap_or_else(|d| (None, vec![d]));
        if let Some(found) = found {
            if all.iter().any(|r| r.sheet == found.sheet && r.machine == found.machine) {
                let message = format!("{} on {} is measured in another file of marks too", found.sheet, found.machine);
                more.push(Diagnostic::error("measured-twice", message).at("sheet").help("leave one of them out"));
            }
            all.push(found);
        }
        said.push(more.into_iter().map(|d| d.placed(&file.places).in_unit(job.units)).collect());
    }
    (all, said)
}

type Found = (Option<Register>, Vec<Diagnostic>);

fn one(file: &Marks, job: &Job, worked: &Worked, machines: &[Machine], left: &[LeftOut]) -> Result<Found, Diagnostic> {
    let sheet = sheet_of(file, worked)?;
    let machine = machine_of(file, machines)?;
    let left = [left, &machine.left].concat();
    if !serves(&machine.profile, sheet.stock, &left) {
        let message = format!("{} does not work on {}", machine.profile.name, sheet.stock.word());
        let hint = "name the machine that the sheet lies on in `machine`";
        return Err(Diagnostic::error("register-not-served", message).at("sheet").help(hint));
    }
    let mut said = Vec::new();
    let on_artwork = if file.is_on_artwork {
        let (transform, artwork) = on_artwork(file, job, worked, sheet)?;
        if !transform.mirrored {
            let message = format!("on {} the printed face lies down, so that its marks are not seen", sheet.id);
            let hint = format!(
                "set {}.cut_face = \"face\" in the job before it is laid out, or prick the marks through",
                sheet.stock.word()
            );
            said.push(Diagnostic::hint("print-lies-down", message).at("on").help(hint));
        }
        Some((transform, artwork))
    } else {
        None
    };
    if sheet.count() > 1 {
        let message =
            format!("{} is one of {} cut alike: none of the others lies where it does", sheet.id, sheet.count());
        let hint = "measure each, and export it by itself";
        said.push(Diagnostic::warning("one-of-many", message).at("sheet").help(hint));
    }
    let to_sheet = |p: Point| match &on_artwork {
        Some((transform, artwork)) => transform.apply(artwork.to_piece(p)),
        None => p,
    };
    let m = &machine.profile.machine;
    let origin = pt(m.origin[0].to_mm(), m.origin[1].to_mm());
    let bed = Bed {
        names: [&sheet.id, &machine.profile.id],
        width: sheet.width.to_mm(),
        to_sheet: &to_sheet,
        to_bed: &|p| m.to_bed(p) - origin,
    };
    let (found, more) = register(file, &bed);
    said.extend(more);
    Ok((found, said))
}

fn sheet_of<'w>(file: &Marks, worked: &'w Worked) -> Result<&'w Sheet, Diagnostic> {
    worked.sheets.iter().find(|s| s.id == file.sheet).map(AsRef::as_ref).ok_or_else(|| {
        let ids: Vec<&str> = worked.sheets.iter().map(|s| s.id.as_str()).collect();
        let message = format!("the job is not laid out on a sheet {}", file.sheet);
        Diagnostic::error("no-such-sheet", message).at("sheet").help(format!("it has {}", listed(&ids)))
    })
}

fn machine_of<'m>(file: &Marks, machines: &'m [Machine]) -> Result<&'m Machine, Diagnostic> {
    let names: Vec<&str> = machines.iter().map(|m| m.profile.id.as_str()).collect();
    let asked = |message: String| {
        let hint = match names.as_slice() {
            [] => "name it on the command line: --machine NAME".to_owned(),
            names => format!("there are {}", listed(names)),
        };
        Diagnostic::error("register-machine", message).at("machine").help(hint)
    };
    match (&file.machine, machines) {
        (Some(name), _) => machines
            .iter()
            .find(|m| m.profile.id == *name)
            .ok_or_else(|| asked(format!("no programs are written for a machine {name}"))),
        (None, [machine]) => Ok(machine),
        (None, _) => Err(asked("the file does not say on which machine the sheet was measured".to_owned())),
    }
}

/// Where the artwork's cloth lies on the sheet.
fn on_artwork(file: &Marks, job: &Job, worked: &Worked, sheet: &Sheet) -> Result<(Transform, Artwork), Diagnostic> {
    let all = Artwork::all(job, &worked.design, file.bleed)?;
    let ids: Vec<String> = all.iter().map(|a| a.piece.clone()).collect();
    let asked = |a: &Artwork| file.piece.as_ref().is_none_or(|piece| *piece == a.piece);
    let artwork = all.into_iter().find(asked).ok_or_else(|| {
        let ids: Vec<&str> = ids.iter().map(String::as_str).collect();
        let message = format!("there is no artwork sheet of {}", file.piece.as_deref().unwrap_or_default());
        Diagnostic::error("no-such-artwork", message).at("piece").help(format!("there are those of {}", listed(&ids)))
    })?;
    for m in &file.marks {
        let own = artwork.marks.iter().find(|own| own.name.to_string() == m.name);
        if let Some(own) = own.filter(|own| own.at.distance(m.at) > 1e-6) {
            let message = format!(
                "the artwork sheet of this job has its mark {} at {} and {} mm: the print is of another job or bleed",
                own.name, own.at.x, own.at.y
            );
            let hint =
                "take the job as it was when the artwork sheet was written; a mark of your own needs another name";
            return Err(Diagnostic::error("other-artwork", message).at(format!("mark.{}.at", m.entry)).help(hint));
        }
    }
    let is_cover = |p: &&crate::nest::Placed| worked.design.pieces.get(p.piece).is_some_and(|p| p.id == artwork.piece);
    let covers: Vec<_> = sheet.placed.iter().filter(is_cover).collect();
    match covers.as_slice() {
        [one] => Ok((one.transform, artwork)),
        others => {
            let message =
                format!("{} has {} of {} on it, and a print is of one", sheet.id, others.len(), artwork.piece);
            let hint = "name the sheet that the print is cut from; give the stock a sheet as large as the print, so that each lies on its own; or count marks from the sheet, on = \"sheet\"";
            Err(Diagnostic::error("not-one-cover", message).at("sheet").help(hint))
        }
    }
}
