//! What is asked first of a text: numbers without a unit that look like the other one, and sides that stay open.

use super::findings::{Finding, Mend, Put};
use crate::doc::Document;
use crate::job::{ANOTHER_UNIT, Job, Side, Slip, slips};
use crate::units::{Unit, decimal};

/// Numbers without a unit that would be usual in another: errors where something that may follow from them is
/// one, and is not told.
pub(super) fn asks(text: &str, document: &Document, is_error: bool) -> Vec<Finding> {
    let own = if document.unit == Unit::Inch { "in" } else { "mm" };
    let ask = |slip: Slip| {
        let (typed, other, shown) = (slip.typed, slip.other, decimal(slip.value, 3));
        let stays = if is_error { String::new() } else { format!("; {shown} {own} stays if nothing is changed") };
        let put = Put { key: slip.key.clone(), value: Some(format!("{typed} {other}")) };
        Finding {
            severity: if is_error { "error" } else { "warning" },
            code: ANOTHER_UNIT,
            message: format!("{} is read as {shown} {own}, which is unusual: is it {typed} {other}?", slip.what),
            help: Some(format!("write the unit behind the number, or choose what you measure in{stays}")),
            key: Some(slip.key),
            line: None,
            part: None,
            mend: Some(Mend { label: format!("It is {typed} {other}"), edits: vec![put] }),
        }
    };
    slips(text, document).into_iter().map(ask).collect()
}

/// The sides at which nothing holds the works.
pub(super) fn open_sides(job: &Job) -> Vec<Finding> {
    let of = |side: Side| Finding {
        severity: "hint",
        code: "open-side",
        message: format!("the box is open at the {}: nothing holds the works there", side.word()),
        help: Some("give that side a lid, or carry the box level and wrap the works".into()),
        key: None,
        line: None,
        part: None,
        mend: None,
    };
    job.open_sides().into_iter().map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(text: &str, unit: Unit) -> Vec<(String, String)> {
        let text = if unit == Unit::Inch { format!("units = \"in\"\n{text}") } else { text.to_owned() };
        let document = crate::doc::read(&text, &crate::job::JOB, Some("units")).0;
        asks(&text, &document, false).into_iter().filter_map(|f| Some((f.key?, f.mend?.label))).collect()
    }

    #[test]
    fn numbers_of_the_other_unit_are_asked_about_and_others_are_not() {
        let job = "[contents]\nwidth = 9.25\nheight = \"12 1/8\"\ndepth = 0.625\n[board]\nthickness = 80\n";
        let all = asked(job, Unit::Mm);
        let labels: Vec<&str> = all.iter().map(|a| a.1.as_str()).collect();
        assert_eq!(labels, ["It is 9.25 in", "It is 12 1/8 in", "It is 80 pt"]);
        assert_eq!(asked(&job.replace("80", "0.08"), Unit::Inch), []);
        let metric = "[contents]\nwidth = 215\nheight = 302\ndepth = [58, 16]\n[board]\nthickness = 2.5\n";
        assert_eq!(asked(metric, Unit::Mm), []);
        let labels: Vec<String> = asked(metric, Unit::Inch).into_iter().map(|a| a.1).collect();
        assert_eq!(labels, ["It is 215 mm", "It is 302 mm", "It is 16 mm", "It is 2.5 mm"]);
        // What has a unit is what it says.
        assert_eq!(asked("[contents]\nwidth = \"9 mm\"\nheight = \"9 in\"\n", Unit::Mm), []);
        assert_eq!(asked("[contents\nwidth", Unit::Mm), []);
    }
}
