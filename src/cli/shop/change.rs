//! What a maker says of the shop: each a change of its own, whole or not at all.

use super::stocks::{machine, named, unknown};
use super::store::Store;
use crate::cli::shop_args::ShopCommand;
use crate::cli::{Failure, load};
use crate::doc::{RawLength, parse_length};
use crate::job::StockKind;
use crate::units::{Length, Unit};
use rusqlite::{Connection, params};

/// A name is at most so long, as an id of a list.
const LONGEST: usize = 60;
/// What a text of ours is at most.
const LONGEST_TEXT: usize = 200;
/// Sheets are between these, mm (our choice: a label, and a roll's run across a workshop).
const SIZES: std::ops::RangeInclusive<f64> = 10.0..=20_000.0;

type Changed = rusqlite::Result<Result<String, Failure>>;

/// Does what a command says, and tells it in a sentence.
pub(super) fn change(store: &mut Store, what: &ShopCommand) -> Result<String, Failure> {
    match what {
        ShopCommand::List | ShopCommand::History => Ok(String::new()),
        ShopCommand::Stock { name, kind, thickness, grain, grammage, coating, rename } => {
            let name = name_of(name)?;
            let rename = rename.as_deref().map(name_of).transpose()?;
            let kind = kind.map(StockKind::from);
            let thickness = thickness.as_deref().map(length).transpose()?;
            positive("--grammage", *grammage)?;
            let said = (thickness, grain.map(|g| g.word()), *grammage, coating.map(|c| c.word()));
            store.write(|of| stock(of, name, kind, said, rename))
        }
        ShopCommand::Sheets { name, size: written, on_hand, bought, price } => {
            let size = size(written)?;
            if price.is_some_and(|p| !p.is_finite() || p < 0.0) {
                return Err(Failure::usage(
                    "--price is no price".into(),
                    "write what one sheet costs, such as 4.80".into(),
                ));
            }
            store.write(|of| of_stock(of, name, |id, _| sheets(of, (id, name), size, (*on_hand, *bought), *price)))
        }
        ShopCommand::Measured { name, thickness } => {
            let thickness = length(thickness)?;
            store.write(|of| of_stock(of, name, |id, kind| measured(of, (id, name), kind, thickness)))
        }
        ShopCommand::Leftover { name, size: written, from, count } => {
            let size = size(written)?;
            if from.len() > LONGEST_TEXT || from.contains(char::is_control) {
                return Err(Failure::usage(
                    "--from is too long, or more than a line".into(),
                    "a few words will do".into(),
                ));
            }
            store.write(|of| of_stock(of, name, |id, _| leftover(of, (id, name), size, (from, *count))))
        }
        ShopCommand::Drop { leftovers } => store.write(|of| drop_leftovers(of, leftovers)),
        ShopCommand::Machine { name, profile } => {
            let name = name_of(name)?;
            let loaded = load::profile(profile)?;
            if loaded.profile.is_none() {
                let message = format!("{} has mistakes and was not kept", loaded.source.name);
                return Err(Failure::usage(message, format!("flapwright profiles check {profile} tells them")));
            }
            store.write(|of| {
                let was = machine(of, name)?.is_some();
                of.execute(
                    "INSERT INTO machine (name, profile) VALUES (?1, ?2) \
                     ON CONFLICT (name) DO UPDATE SET profile = excluded.profile",
                    params![name, loaded.source.text],
                )?;
                Ok(Ok(format!("The machine {name} is kept{}.", if was { ", in place of the one before" } else { "" })))
            })
        }
    }
}

type Said = (Option<Length>, Option<&'static str>, Option<f64>, Option<&'static str>);

fn stock(of: &Connection, name: &str, kind: Option<StockKind>, said: Said, rename: Option<&str>) -> Changed {
    let (thickness, grain, grammage, coating) = said;
    let found = named(of, name)?;
    let kind = match (found, kind) {
        (None, None) => {
            let why = unknown(of, name)?;
            let Failure::Usage { message, hint } = why else { return Ok(Err(why)) };
            return Ok(Err(Failure::usage(
                message,
                format!("{hint}; a new one needs --kind board, cloth, paper or liner"),
            )));
        }
        (Some((_, is)), Some(kind)) if is != kind => {
            let message = format!("\"{name}\" is {} and cannot become {}", is.word(), kind.word());
            return Ok(Err(Failure::usage(message, "nothing was changed; give the other stock another name".into())));
        }
        (Some((_, is)), _) => is,
        (None, Some(kind)) => kind,
    };
    if let Some(wrong) = thickness.and_then(|t| no_thickness(kind, t)) {
        return Ok(Err(wrong));
    }
    let thickness = thickness.map(Length::to_mm);
    of.execute(
        "INSERT INTO stock (name, kind, thickness, grain, grammage, coating) VALUES (?1, ?2, ?3, ?4, ?5, ?6) \
         ON CONFLICT (name) DO UPDATE SET thickness = coalesce(excluded.thickness, thickness), \
         grain = coalesce(excluded.grain, grain), grammage = coalesce(excluded.grammage, grammage), \
         coating = coalesce(excluded.coating, coating)",
        params![name, kind.word(), thickness, grain, grammage, coating],
    )?;
    if let Some(new) = rename {
        if named(of, new)?.is_some() && new != name {
            let message = format!("there is a stock \"{new}\" already");
            return Ok(Err(Failure::usage(message, "nothing was changed; choose another name".into())));
        }
        of.execute("UPDATE stock SET name = ?2 WHERE name = ?1", params![name, new])?;
        return Ok(Ok(format!("\"{name}\" is called \"{new}\" now; jobs name it by that.")));
    }
    let done = if found.is_some() { "corrected" } else { "added" };
    Ok(Ok(format!("The {} \"{name}\" is {done}.", kind.word())))
}

/// Does something with a stock that is there.
fn of_stock(of: &Connection, name: &str, then: impl FnOnce(i64, StockKind) -> Changed) -> Changed {
    match named(of, name)? {
        Some((id, kind)) => then(id, kind),
        None => Ok(Err(unknown(of, name)?)),
    }
}

fn sheets(
    of: &Connection,
    (id, name): (i64, &str),
    [width, height]: [f64; 2],
    (on_hand, bought): (Option<u32>, Option<u32>),
    price: Option<f64>,
) -> Changed {
    of.execute(
        "INSERT INTO sheet (stock, width, height, on_hand) VALUES (?1, ?2, ?3, 0) ON CONFLICT DO NOTHING",
        params![id, width, height],
    )?;
    of.execute(
        "UPDATE sheet SET on_hand = coalesce(?4, on_hand) + coalesce(?5, 0), price = coalesce(?6, price) \
         WHERE stock = ?1 AND width = ?2 AND height = ?3",
        params![id, width, height, on_hand, bought, price],
    )?;
    let now: u32 = of.query_row(
        "SELECT on_hand FROM sheet WHERE stock = ?1 AND width = ?2 AND height = ?3",
        params![id, width, height],
        |row| row.get(0),
    )?;
    Ok(Ok(format!("Of \"{name}\", {width} x {height} mm, there are {now}.")))
}

fn measured(of: &Connection, (id, name): (i64, &str), kind: StockKind, thickness: Length) -> Changed {
    if let Some(wrong) = no_thickness(kind, thickness) {
        return Ok(Err(wrong));
    }
    of.execute(
        "INSERT INTO measure (stock, thickness, at) VALUES (?1, ?2, strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))",
        params![id, thickness.to_mm()],
    )?;
    Ok(Ok(format!("\"{name}\" is {thickness} thick from now on.")))
}

fn leftover(
    of: &Connection,
    (id, name): (i64, &str),
    [width, height]: [f64; 2],
    (from, count): (&str, u32),
) -> Changed {
    for _ in 0..count {
        of.execute(
            "INSERT INTO leftover (stock, width, height, source, at) \
             VALUES (?1, ?2, ?3, ?4, strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))",
            params![id, width, height, from],
        )?;
    }
    let what = if count == 1 { "A leftover".to_owned() } else { format!("{count} leftovers") };
    Ok(Ok(format!("{what} of \"{name}\", {width} x {height} mm, {} kept.", if count == 1 { "is" } else { "are" })))
}

fn drop_leftovers(of: &Connection, numbers: &[i64]) -> Changed {
    for number in numbers {
        if of.execute("DELETE FROM leftover WHERE id = ?1 AND cut IS NULL", [number])? == 0 {
            let message = format!("there is no leftover {number} that could be taken out");
            return Ok(Err(Failure::usage(message, "nothing was changed; flapwright shop FILE numbers them".into())));
        }
    }
    let n = numbers.len();
    Ok(Ok(if n == 1 { "1 leftover is taken out.".into() } else { format!("{n} leftovers are taken out.") }))
}

fn name_of(name: &str) -> Result<&str, Failure> {
    let name = name.trim();
    match name.is_empty() || name.chars().count() > LONGEST || name.contains(char::is_control) {
        true => Err(Failure::usage(
            format!("a name has 1 to {LONGEST} characters in one line"),
            "a few words by which it is known, such as \"grey board 2.5\"".into(),
        )),
        false => Ok(name),
    }
}

fn positive(what: &str, number: Option<f64>) -> Result<(), Failure> {
    match number {
        Some(n) if !(n > 0.0 && n < 1e6) => {
            Err(Failure::usage(format!("{what} {n} cannot be"), "write a number above zero, or leave it out".into()))
        }
        _ => Ok(()),
    }
}

fn length(written: &str) -> Result<Length, Failure> {
    let wrong =
        |why: String| Failure::usage(why, "write a length such as \"2.5 mm\", \"0.098 in\" or \"98 pt\"".into());
    match parse_length(written, Unit::Mm) {
        Ok(RawLength::Fixed(length)) => Ok(length),
        Ok(_) => Err(wrong(format!("`{written}` is no length of its own"))),
        Err(why) => Err(wrong(format!("`{written}` is no length: {why}"))),
    }
}

fn no_thickness(kind: StockKind, thickness: Length) -> Option<Failure> {
    let message = format!("{thickness} is no thickness of {}", kind.told_thicknesses(Unit::Mm));
    (!kind.takes(thickness)).then(|| Failure::usage(message, "nothing was changed; is the unit right?".into()))
}

/// A size such as `700 x 1000 mm`, in mm: a unit behind the second length is that of both.
fn size(written: &str) -> Result<[f64; 2], Failure> {
    let hint = || "write width and height as they lie on the bed, such as \"700 x 1000 mm\"".to_owned();
    let wrong = |why: String| Failure::usage(why, hint());
    let parts: Vec<&str> = written.split(['x', '×', 'X']).map(str::trim).collect();
    let [first, second] = parts[..] else { return Err(wrong(format!("`{written}` is no size"))) };
    let unit = second.trim_start_matches(|c: char| !c.is_alphabetic() && c != '"');
    let has_unit = first.contains(|c: char| c.is_alphabetic() || c == '"');
    let first = if has_unit { first.to_owned() } else { format!("{first} {unit}") };
    let mut sides = [0.0; 2];
    for (side, text) in sides.iter_mut().zip([first.as_str(), second]) {
        *side = length(text)?.to_mm();
        if !SIZES.contains(side) {
            let (least, most) = (SIZES.start(), SIZES.end());
            return Err(wrong(format!("`{written}`: a side of a sheet is {least} to {most} mm long")));
        }
        // What a rule shows, and no tail of a conversion from inches.
        *side = crate::units::tidy(*side, 3);
    }
    Ok(sides)
}

#[cfg(test)]
mod tests {
    use super::size;

    #[test]
    fn sizes_are_read_with_one_unit_or_two() {
        // An inch is 25.4 mm (the agreement of 1959).
        for (written, read) in [
            ("700 x 1000 mm", [700.0, 1000.0]),
            ("70 cm x 1000 mm", [700.0, 1000.0]),
            ("310,5x420", [310.5, 420.0]),
            ("20 x 30 in", [508.0, 762.0]),
            ("20\" × 30\"", [508.0, 762.0]),
        ] {
            assert_eq!(size(written).ok(), Some(read), "{written}");
        }
        for wrong in
            ["700", "700 x", "700 x 1000 x 2", "a x b", "1 x 1 mm", "700 x 99 t", "1e9 x 10 mm", "-700 x 100 mm"]
        {
            assert!(size(wrong).is_err(), "{wrong}");
        }
    }
}
