//! A shop told of what is cut: first the shop, then the folder's marks with the shop's numbers in them. A run that is
//! killed between the two is finished by the same command, for the shop finds the sheets by their place again.

use super::parts::{Part, Pick};
use crate::cli::args::CutArgs;
use crate::cli::marks::some;
use crate::cli::shop::{self, CutSheet};
use crate::cli::{Failure, load};
use crate::job::StockKind;
use std::collections::BTreeSet;
use std::path::Path;

/// What the shop says of each pick: its numbers of the sheets that are cut, nothing of a stock that it is not to know
/// of; and what there is to tell.
pub(super) fn tell(
    args: &CutArgs,
    file: &Path,
    parts: &[Part],
    picks: &[(Pick, u32)],
) -> Result<(Vec<Option<Vec<i64>>>, Vec<String>), Failure> {
    let mut names = Vec::new();
    for (kind, name) in args.stock.iter().map(|s| s.split_once('=').unwrap_or((s, ""))) {
        let kind = StockKind::ALL.into_iter().find(|k| k.word() == kind);
        let Some(kind) = kind.filter(|_| !name.trim().is_empty()) else {
            let hint = "write board=NAME, cloth=NAME or liner=NAME, such as --stock board=\"grey board 2.5\"";
            return Err(Failure::usage("--stock names no stock".into(), hint.into()));
        };
        names.push((kind, name.trim()));
    }
    let mut folders = Vec::new();
    for part in parts {
        let path = part.dir.canonicalize().map_err(|e| load::unreadable(&part.dir, &e))?;
        folders.push(path.to_string_lossy().into_owned());
    }
    let (mut cut, mut at, mut unnamed) = (Vec::new(), Vec::new(), Vec::new());
    for (n, (pick, count)) in picks.iter().enumerate() {
        let (part, folder) = (&parts[pick.part], &folders[pick.part]);
        let sheet = &part.sheets[pick.sheet];
        let Some(kind) = StockKind::ALL.into_iter().find(|k| k.word() == sheet.stock) else { continue };
        let given = names.iter().find(|(k, _)| *k == kind).map(|(_, name)| *name);
        let Some(stock) = given.or(sheet.of_shop.named.as_deref()) else {
            unnamed.push((part.named(&sheet.id), kind));
            continue;
        };
        at.push(n);
        cut.push(CutSheet {
            folder,
            name: &sheet.id,
            title: &part.title,
            stock,
            kind,
            size: [sheet.of_shop.width, sheet.of_shop.height],
            is_leftover: sheet.of_shop.leftover,
            // Whole millimetres: nobody keeps an offcut's edges finer (our choice).
            offcut: sheet.of_shop.offcut.as_ref().map(|o| [o.width, o.height].map(|side| (side + 1e-6).floor())),
            count: *count,
            told: part.marks.in_shop(&sheet.id),
        });
    }
    let kinds: BTreeSet<&str> = unnamed.iter().map(|(_, kind)| kind.word()).collect();
    let kinds: Vec<String> = kinds.into_iter().map(|kind| format!("--stock {kind}=NAME")).collect();
    let names = some(unnamed.iter().map(|(name, _)| name.as_str()), unnamed.len());
    let message = format!("the job does not say what the shop calls the stock of {names}");
    if cut.is_empty() {
        let hint = format!("nothing was changed; add {}, the name that the shop has for it", kinds.join(" "));
        return Err(Failure::usage(message, hint));
    }
    let (numbers, mut said) = shop::tell(file, &cut)?;
    if !unnamed.is_empty() {
        said.push(format!("{message}, and the shop was not told of it: add {}", kinds.join(" ")));
    }
    let mut all = vec![None; picks.len()];
    for (n, numbers) in at.into_iter().zip(numbers) {
        all[n] = Some(numbers);
    }
    Ok((all, said))
}
