//! Changes made in the text of a profile, everything else of it left as its owner wrote it.

use super::figures::{Change, TableAt};
use crate::units::decimal;
use toml_edit::{DocumentMut, Item, TableLike, Value};

/// The table that finds what differs has a cell for each pair of lines: that of profiles of 4000
/// lines, 64 MB.
const MOST_CELLS: usize = 16_000_000;

/// The text with the changes in it: comments, order and layout stay; a key that was left out is
/// added at the end of its table. A comment beside a changed value was about the former one: before it
/// is set that the value is measured now.
///
/// Fails, with a reason, where the text is not the profile that the changes are of.
pub fn edited(text: &str, changes: &[Change]) -> Result<String, String> {
    let mut doc: DocumentMut = text.parse().map_err(|e: toml_edit::TomlError| e.message().to_owned())?;
    for change in changes {
        let (list, at) = match change.table {
            TableAt::Tool(i) => ("tool", i),
            TableAt::Rule(i) => ("rule", i),
        };
        let table = doc
            .get_mut(list)
            .and_then(|item| entry(item, at))
            .ok_or_else(|| format!("there is no [[{list}]] number {} in the profile", at + 1))?;
        let value = if change.is_count { Value::from(change.to.round() as i64) } else { number(change.to) };
        set(table, change.key, value);
    }
    Ok(doc.to_string())
}

/// An entry of a list of tables, written as `[[tool]]` or as `tool = [{ .. }]`.
fn entry(item: &mut Item, at: usize) -> Option<&mut dyn TableLike> {
    match item {
        Item::ArrayOfTables(list) => list.get_mut(at).map(|t| t as &mut dyn TableLike),
        Item::Value(Value::Array(list)) => {
            list.get_mut(at).and_then(Value::as_inline_table_mut).map(|t| t as &mut dyn TableLike)
        }
        _ => None,
    }
}

/// A number as a person writes it: 3, not 3.0.
fn number(value: f64) -> Value {
    if value.fract() == 0.0 { Value::from(value as i64) } else { Value::from(value) }
}

/// What a comment says of a value from a coupon.
const MEASURED: &str = "measured with a coupon";

/// The value under a key, with the space and the comment that stood round the old one.
fn set(table: &mut dyn TableLike, key: &str, mut value: Value) {
    match table.get_mut(key) {
        Some(Item::Value(old)) => {
            *value.decor_mut() = old.decor().clone();
            let beside = old.decor().suffix().and_then(|s| s.as_str()).map(str::to_owned);
            if let Some((space, comment)) = beside.as_deref().and_then(|s| s.split_once('#'))
                && !comment.trim_start().starts_with(MEASURED)
            {
                let former = old.clone().decorated("", "").to_string();
                let said = format!("{space}# {MEASURED}; {former} before: {}", comment.trim_start());
                value.decor_mut().set_suffix(said);
            }
            *old = value;
        }
        _ => {
            table.insert(key, Item::Value(value));
        }
    }
}

/// Two texts line by line: what goes with a `-`, what comes with a `+`, each group under the header
/// of the table that it stands in. Empty where they are alike.
pub fn diff(old: &str, new: &str) -> String {
    let (a, b): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    // The longest common subsequence by the table of its lengths; profiles have a few hundred lines.
    if a.len().saturating_mul(b.len()) > MOST_CELLS {
        return format!("(of {} lines: too many to show the change in them)\n", b.len());
    }
    let mut long = vec![vec![0u32; b.len() + 1]; a.len() + 1];
    for i in (0..a.len()).rev() {
        for j in (0..b.len()).rev() {
            long[i][j] = if a[i] == b[j] { long[i + 1][j + 1] + 1 } else { long[i + 1][j].max(long[i][j + 1]) };
        }
    }
    let (mut i, mut j, mut text) = (0, 0, String::new());
    let (mut header, mut told) = (String::new(), String::new());
    let mut id = String::new();
    while i < a.len() || j < b.len() {
        if i < a.len() && j < b.len() && a[i] == b[j] {
            if a[i].starts_with('[') {
                (header, id) = (format!("line {}: {}", i + 1, a[i]), String::new());
            }
            let key = a[i].split('=').next().unwrap_or_default().trim();
            if ["id", "operation", "stock"].contains(&key) {
                id = format!("{id} {}", a[i].split('#').next().unwrap_or_default().trim());
            }
            (i, j) = (i + 1, j + 1);
            continue;
        }
        if told != header {
            told.clone_from(&header);
            text.push_str(&format!("{header}{id}\n"));
        }
        if j >= b.len() || i < a.len() && long[i + 1][j] >= long[i][j + 1] {
            text.push_str(&format!("- {}\n", a[i]));
            i += 1;
        } else {
            text.push_str(&format!("+ {}\n", b[j]));
            j += 1;
        }
    }
    text
}

/// A change in a sentence.
pub fn in_words(change: &Change, name: &str) -> String {
    let show = |v: f64| if change.is_count { decimal(v, 0) } else { format!("{} mm", decimal(v, 3)) };
    format!("{} of {name}: {} -> {} ({})", change.key.replace('_', " "), show(change.from), show(change.to), change.why)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "format = 1 # kept\n\n[[tool]]\nid = \"beam\"\nkerf =  0.18   # measure yours\n\n[[rule]]\ntool = \"beam\"\n# the end\n";

    fn change(table: TableAt, key: &'static str, to: f64, is_count: bool) -> Change {
        Change { table, key, from: 0.0, to, is_count, why: String::new() }
    }

    #[test]
    fn a_change_keeps_every_comment_and_shows_as_one_line() {
        let new = edited(TEXT, &[change(TableAt::Tool(0), "kerf", 0.21, false)]);
        let said = "0.21   # measured with a coupon; 0.18 before: measure yours";
        assert_eq!(new.as_deref(), Ok(TEXT.replace("0.18   # measure yours", said).as_str()));
        // Measured again, it is still measured.
        let again = edited(new.as_deref().unwrap_or_default(), &[change(TableAt::Tool(0), "kerf", 0.2, false)]);
        assert_eq!(again.as_deref(), Ok(TEXT.replace("0.18   # measure yours", &said.replace("0.21", "0.2")).as_str()));
        let shown = diff(TEXT, &new.unwrap_or_default());
        assert_eq!(
            shown,
            "line 3: [[tool]] id = \"beam\"\n- kerf =  0.18   # measure yours\n\
             + kerf =  0.21   # measured with a coupon; 0.18 before: measure yours\n"
        );
        assert_eq!(diff(TEXT, TEXT), "");
    }

    #[test]
    fn a_key_that_was_left_out_is_added_and_lists_in_one_line_serve_too() {
        let new = edited(TEXT, &[change(TableAt::Rule(0), "passes", 3.0, true)]).unwrap_or_default();
        assert!(new.contains("tool = \"beam\"\npasses = 3\n"), "{new}");
        assert!(new.ends_with("# the end\n"), "{new}");
        let inline = "tool = [{ id = \"pen\", kerf = 1 }] # all of them\n";
        let new = edited(inline, &[change(TableAt::Tool(0), "kerf", 2.0, false)]);
        assert_eq!(new.as_deref(), Ok("tool = [{ id = \"pen\", kerf = 2 }] # all of them\n"));
        assert!(edited(TEXT, &[change(TableAt::Tool(1), "kerf", 1.0, false)]).is_err());
        assert!(edited("not [ toml", &[]).is_err());
    }
}
