//! A shop told of what is cut. First it gives numbers and takes back what was not cut after all; then the folder is marked,
//! with the numbers in it; then what they are of is taken off. A run that is killed in between is finished by the
//! same command, for the numbers are the folder's and each is taken off once.

use super::parts::{Part, Pick};
use crate::cli::args::CutArgs;
use crate::cli::marks::{InShop, some};
use crate::cli::shop::{self, CutSheet};
use crate::cli::{Failure, load};
use crate::job::StockKind;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// A shop that is being told.
pub(super) struct Telling {
    file: PathBuf,
    cut: Vec<CutSheet>,
    /// The place of each among the picks.
    at: Vec<usize>,
    shop: String,
    numbers: Vec<Vec<i64>>,
    said: Vec<String>,
}

impl Telling {
    /// Begins, where a shop was named. What is of a stock that it is not to know of is said and left out.
    pub(super) fn begin(args: &CutArgs, parts: &[Part], picks: &[(Pick, u32)]) -> Result<Option<Self>, Failure> {
        let Some(file) = &args.shop else { return Ok(None) };
        let mut names = Vec::new();
        for (kind, name) in args.stock.iter().map(|s| s.split_once('=').unwrap_or((s, ""))) {
            let kind = StockKind::of_word(kind);
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
            let Some(kind) = StockKind::of_word(&sheet.stock) else { continue };
            let given = names.iter().find(|(k, _)| *k == kind).map(|(_, name)| *name);
            let Some(stock) = given.or(sheet.of_shop.named.as_deref()) else {
                unnamed.push((part.named(&sheet.id), kind));
                continue;
            };
            at.push(n);
            cut.push(CutSheet {
                folder: folder.clone(),
                name: sheet.id.clone(),
                title: part.title.clone(),
                stock: stock.to_owned(),
                kind,
                size: [sheet.of_shop.width, sheet.of_shop.height],
                is_leftover: sheet.of_shop.leftover,
                // Whole millimetres: nobody keeps an offcut's edges finer (our choice).
                offcut: sheet.of_shop.offcut.as_ref().map(|o| [o.width, o.height].map(|side| (side + 1e-6).floor())),
                count: *count,
                shop: part.marks.in_shop(&sheet.id).map(|s| s.shop.clone()),
                numbers: part.marks.in_shop(&sheet.id).map(|s| s.numbers.clone()).unwrap_or_default(),
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
        let (shop, numbers) = shop::begin(file, &cut)?;
        let mut said = Vec::new();
        if !unnamed.is_empty() {
            said.push(format!("{message}, and the shop was not told of it: add {}", kinds.join(" ")));
        }
        Ok(Some(Self { file: file.clone(), cut, at, shop, numbers, said }))
    }

    /// What the folder keeps of a pick.
    pub(super) fn of(&self, pick: usize) -> Option<InShop> {
        let at = self.at.iter().position(|at| *at == pick)?;
        Some(InShop { shop: self.shop.clone(), numbers: self.numbers[at].clone() })
    }

    /// Takes off what is cut, now that the folder is marked; what there is to tell.
    pub(super) fn finish(self) -> Result<Vec<String>, Failure> {
        let more = shop::finish(&self.file, &self.cut, &self.numbers)?;
        Ok([self.said, more].concat())
    }
}
