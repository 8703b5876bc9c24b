//! The constructions as the job file knows them: the word, and which stocks and settings each takes.
//! How each is built stands in `design`, a file for each.

/// What holds the box together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Construction {
    /// Separate boards hinged by the cloth.
    HingedBoards,
    /// One piece of folding board, creased.
    CreasedBoard,
    /// Two creased strips of folding board that cross under the contents.
    CrossedStrips,
    /// Two trays, of which one closes over the other, in a case of two covers and a spine.
    DropSpine,
    /// A tray, and a lid that is a tray itself and lifts off.
    TrayAndLid,
    /// A case open at one side, into which the works slide.
    Slipcase,
    /// A case of two covers and a spine round a wrapper with lids, or round loose sheets.
    Portfolio,
}

/// What the job file may say of a construction.
#[derive(Clone, Copy, Debug)]
pub struct Terms {
    /// Its word.
    pub word: &'static str,
    /// Whether cloth hinges its boards; else it folds at creases, and takes no cloth.
    pub is_hinged: bool,
    /// Whether it may be lined.
    pub takes_liner: bool,
    /// Whether it is made of strips, whose ends are its lids.
    pub has_strips: bool,
    /// Whether it is made of trays in a case: then it has no lids to be described.
    pub has_trays: bool,
    /// Whether what holds its works is in a case of covers and a spine.
    pub has_case: bool,
    /// Whether it is a case open at one side: then it has no lids either, and nothing closes over its mouth.
    pub has_mouth: bool,
    /// Whether ribbon ties and magnets can hold its lids shut.
    pub takes_closings: bool,
    /// Whether a lid may have a window.
    pub takes_windows: bool,
    /// Settings of `[box]` that it has no use for.
    pub unused: &'static [&'static str],
    /// What to do with these.
    pub unused_hint: &'static str,
}

impl Construction {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::HingedBoards,
        Self::CreasedBoard,
        Self::CrossedStrips,
        Self::DropSpine,
        Self::TrayAndLid,
        Self::Slipcase,
        Self::Portfolio,
    ];
    /// Their words, for the job file.
    pub(super) const WORDS: &'static [&'static str] = &[
        Self::ALL[0].terms().word,
        Self::ALL[1].terms().word,
        Self::ALL[2].terms().word,
        Self::ALL[3].terms().word,
        Self::ALL[4].terms().word,
        Self::ALL[5].terms().word,
        Self::ALL[6].terms().word,
    ];

    /// Their words.
    pub const fn words() -> &'static [&'static str] {
        Self::WORDS
    }

    /// The construction of this word.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.terms().word == word)
    }

    /// What the job file may say of it.
    pub const fn terms(self) -> &'static Terms {
        match self {
            Self::HingedBoards => &Terms {
                word: "hinged-boards",
                is_hinged: true,
                takes_liner: true,
                has_strips: false,
                has_trays: false,
                has_case: false,
                has_mouth: false,
                takes_closings: true,
                takes_windows: true,
                unused: &[],
                unused_hint: "",
            },
            Self::CreasedBoard => &Terms {
                word: "creased-board",
                is_hinged: false,
                takes_liner: true,
                has_strips: false,
                has_trays: false,
                has_case: false,
                has_mouth: false,
                takes_closings: false,
                takes_windows: true,
                unused: &["seat", "joint"],
                unused_hint: "take it out; walls and base are measured from crease to crease",
            },
            Self::CrossedStrips => &Terms {
                word: "crossed-strips",
                is_hinged: false,
                takes_liner: false,
                has_strips: true,
                has_trays: false,
                has_case: false,
                has_mouth: false,
                takes_closings: false,
                takes_windows: false,
                unused: &["seat", "joint", "step", "wall_extra"],
                unused_hint: "take it out; a strip's own allowances stand in [strips.height] and [strips.width]",
            },
            Self::DropSpine => &Terms {
                word: "drop-spine",
                is_hinged: true,
                takes_liner: true,
                has_strips: false,
                has_trays: true,
                has_case: true,
                has_mouth: false,
                takes_closings: false,
                takes_windows: false,
                unused: &["step", "wall_extra", "flap_inset"],
                unused_hint: "take it out; the trays' own measures stand in [trays]",
            },
            Self::TrayAndLid => &Terms {
                word: "tray-and-lid",
                is_hinged: true,
                takes_liner: true,
                has_strips: false,
                has_trays: true,
                has_case: false,
                has_mouth: false,
                takes_closings: false,
                takes_windows: false,
                unused: &["step", "wall_extra", "flap_inset", "joint", "ease"],
                unused_hint: "take it out; the trays' own measures stand in [trays]",
            },
            Self::Slipcase => &Terms {
                word: "slipcase",
                is_hinged: true,
                takes_liner: true,
                has_strips: false,
                has_trays: false,
                has_case: false,
                has_mouth: true,
                takes_closings: false,
                takes_windows: false,
                unused: &["seat", "step", "wall_extra", "flap_inset", "joint", "ease"],
                unused_hint: "take it out; how the boards of a slipcase stand is said in [slipcase]",
            },
            Self::Portfolio => &Terms {
                word: "portfolio",
                is_hinged: true,
                takes_liner: true,
                has_strips: false,
                has_trays: false,
                has_case: true,
                has_mouth: false,
                takes_closings: true,
                takes_windows: false,
                unused: &[],
                unused_hint: "",
            },
        }
    }
}

impl Terms {
    /// Whether joints of cloth hinge its lids.
    pub const fn hinges_lids(&self) -> bool {
        self.is_hinged && self.has_lids()
    }

    /// Whether lids or covers of it may be covered by part.
    pub const fn takes_sides(&self) -> bool {
        self.is_hinged && (self.has_case || self.has_lids())
    }

    /// Whether it has such a board, and that may be covered by part: of a case the covers, else the lids.
    pub const fn takes_side(&self, on: super::SideOn) -> bool {
        self.takes_sides() && self.has_case != matches!(on, super::SideOn::Lid(_))
    }

    /// Whether its lids, or what stands for them, are described side by side: in trays and in a case with a mouth works
    /// lie without.
    pub const fn has_lids(&self) -> bool {
        !self.has_trays && !self.has_mouth
    }

    /// Whether its case holds a wrapper with lids, or loose sheets where the job names no lid.
    pub const fn holds_wrapper(&self) -> bool {
        self.has_case && !self.has_trays
    }
}
