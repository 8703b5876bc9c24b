//! What stands around the lines: header, tables, blocks and objects.

use super::DxfVersion;
use super::out::{MODEL_SPACE, Out};
use crate::geom::Point;
use crate::units::Length;

/// Handles of the parts of an R2000 file; every one a reader may follow is met by its object.
mod id {
    pub(super) const VPORTS: u64 = 0x1;
    pub(super) const LINETYPES: u64 = 0x2;
    pub(super) const LAYERS: u64 = 0x3;
    pub(super) const STYLES: u64 = 0x4;
    pub(super) const VIEWS: u64 = 0x5;
    pub(super) const UCSS: u64 = 0x6;
    pub(super) const APPIDS: u64 = 0x7;
    pub(super) const DIMSTYLES: u64 = 0x8;
    pub(super) const BLOCK_RECORDS: u64 = 0x9;
    pub(super) const ROOT: u64 = 0xA;
    pub(super) const GROUPS: u64 = 0xB;
    pub(super) const LAYOUTS: u64 = 0xC;
    pub(super) const PLOT_STYLES: u64 = 0xD;
    pub(super) const PLOT_STYLE: u64 = 0xE;
    pub(super) const BY_BLOCK: u64 = 0x10;
    pub(super) const BY_LAYER: u64 = 0x11;
    pub(super) const CONTINUOUS: u64 = 0x12;
    pub(super) const STYLE: u64 = 0x13;
    pub(super) const APPID: u64 = 0x14;
    pub(super) const DIMSTYLE: u64 = 0x15;
    pub(super) const VPORT: u64 = 0x16;
    pub(super) const PAPER_SPACE: u64 = 0x1B;
    pub(super) const PAPER_LAYOUT: u64 = 0x1C;
    pub(super) const MODEL_LAYOUT: u64 = 0x1D;
    pub(super) const BLOCKS: u64 = 0x20;
    pub(super) const FIRST_LAYER: u64 = 0x30;
}

/// Everything before the entities.
pub(super) fn head(out: &mut Out, size: Point, kerf: Option<Length>) {
    out.text(999, "Lengths in millimetres. Flapwright sheet.");
    match kerf {
        Some(kerf) => out.text(999, &format!("Moved for a kerf of {kerf} in all: do not compensate again.")),
        None => out.text(999, "Nominal lines, not moved for any kerf."),
    }
    out.text(
        999,
        "Check the scale on one known length before cutting; follow the machine's manual and the shop's rules.",
    );
    header(out, size);
    if out.version == DxfVersion::R2000 {
        section(out, "CLASSES");
        out.text(0, "ENDSEC");
    }
    tables(out, size);
    blocks(out);
    section(out, "ENTITIES");
}

/// Everything after them.
pub(super) fn tail(out: &mut Out, size: Point) {
    out.text(0, "ENDSEC");
    if out.version == DxfVersion::R2000 {
        objects(out, size);
    }
    out.text(0, "EOF");
}

fn section(out: &mut Out, name: &str) {
    out.text(0, "SECTION");
    out.text(2, name);
}

fn header(out: &mut Out, size: Point) {
    section(out, "HEADER");
    out.text(9, "$ACADVER");
    let modern = out.version == DxfVersion::R2000;
    out.text(1, if modern { "AC1015" } else { "AC1009" });
    if modern {
        out.text(9, "$DWGCODEPAGE");
        out.text(3, "ANSI_1252");
        out.text(9, "$HANDSEED");
        out.seed();
        out.text(9, "$INSUNITS");
        out.whole(70, 4); // millimetres
        out.text(9, "$MEASUREMENT");
        out.whole(70, 1); // metric
    }
    out.text(9, "$INSBASE");
    out.point(0, 0.0, 0.0);
    out.z(30);
    out.text(9, "$EXTMIN");
    out.point(0, 0.0, 0.0);
    out.z(30);
    out.text(9, "$EXTMAX");
    out.point(0, size.x, size.y);
    out.z(30);
    out.text(9, "$LIMMIN");
    out.point(0, 0.0, 0.0);
    out.text(9, "$LIMMAX");
    out.point(0, size.x, size.y);
    out.text(9, "$LUNITS");
    out.whole(70, 2); // decimal
    out.text(0, "ENDSEC");
}

/// The head of a table.
fn table(out: &mut Out, name: &str, handle: u64, entries: usize) {
    out.text(0, "TABLE");
    out.text(2, name);
    if out.version == DxfVersion::R2000 {
        out.handle(5, handle);
        out.handle(330, 0);
        out.text(100, "AcDbSymbolTable");
    }
    out.whole(70, entries as i64);
}

/// The head of an entry in a table.
fn entry(out: &mut Out, kind: &str, table: u64, handle: u64, subclass: &str, name: &str) {
    out.text(0, kind);
    if out.version == DxfVersion::R2000 {
        out.handle(if kind == "DIMSTYLE" { 105 } else { 5 }, handle);
        out.handle(330, table);
        out.text(100, "AcDbSymbolTableRecord");
        out.text(100, subclass);
    }
    out.text(2, name);
}

fn tables(out: &mut Out, size: Point) {
    let modern = out.version == DxfVersion::R2000;
    section(out, "TABLES");
    table(out, "VPORT", id::VPORTS, 1);
    entry(out, "VPORT", id::VPORTS, id::VPORT, "AcDbViewportTableRecord", "*ACTIVE");
    out.whole(70, 0);
    viewport(out, size);
    out.text(0, "ENDTAB");

    let line_types = [("BYBLOCK", id::BY_BLOCK), ("BYLAYER", id::BY_LAYER), ("CONTINUOUS", id::CONTINUOUS)];
    // R12 knows the first two without an entry.
    let line_types = if modern { &line_types[..] } else { &line_types[2..] };
    table(out, "LTYPE", id::LINETYPES, line_types.len());
    for &(name, handle) in line_types {
        entry(out, "LTYPE", id::LINETYPES, handle, "AcDbLinetypeTableRecord", name);
        out.whole(70, 0);
        out.text(3, if name == "CONTINUOUS" { "Solid line" } else { "" });
        out.whole(72, 65);
        out.whole(73, 0);
        out.real(40, 0.0, 1);
    }
    out.text(0, "ENDTAB");

    let layers: Vec<(&str, i64)> = std::iter::once(("0", 7)).chain(super::layers()).collect();
    table(out, "LAYER", id::LAYERS, layers.len());
    for (i, (name, colour)) in layers.into_iter().enumerate() {
        entry(out, "LAYER", id::LAYERS, id::FIRST_LAYER + i as u64, "AcDbLayerTableRecord", name);
        out.whole(70, 0);
        out.whole(62, colour);
        out.text(6, "CONTINUOUS");
        if modern {
            out.handle(390, id::PLOT_STYLE);
        }
    }
    out.text(0, "ENDTAB");

    table(out, "STYLE", id::STYLES, 1);
    entry(out, "STYLE", id::STYLES, id::STYLE, "AcDbTextStyleTableRecord", "STANDARD");
    out.whole(70, 0);
    for (code, value) in [(40, 0.0), (41, 1.0), (50, 0.0)] {
        out.real(code, value, 1);
    }
    out.whole(71, 0);
    out.real(42, 2.5, 1);
    out.text(3, "txt");
    out.text(4, "");
    out.text(0, "ENDTAB");

    for (name, handle) in [("VIEW", id::VIEWS), ("UCS", id::UCSS)] {
        table(out, name, handle, 0);
        out.text(0, "ENDTAB");
    }

    table(out, "APPID", id::APPIDS, 1);
    entry(out, "APPID", id::APPIDS, id::APPID, "AcDbRegAppTableRecord", "ACAD");
    out.whole(70, 0);
    out.text(0, "ENDTAB");

    table(out, "DIMSTYLE", id::DIMSTYLES, 1);
    if modern {
        out.text(100, "AcDbDimStyleTable");
        out.whole(71, 1);
        out.handle(340, id::DIMSTYLE);
    }
    entry(out, "DIMSTYLE", id::DIMSTYLES, id::DIMSTYLE, "AcDbDimStyleTableRecord", "STANDARD");
    out.whole(70, 0);
    out.text(0, "ENDTAB");

    if modern {
        table(out, "BLOCK_RECORD", id::BLOCK_RECORDS, 2);
        for (name, handle, layout) in
            [("*Model_Space", MODEL_SPACE, id::MODEL_LAYOUT), ("*Paper_Space", id::PAPER_SPACE, id::PAPER_LAYOUT)]
        {
            entry(out, "BLOCK_RECORD", id::BLOCK_RECORDS, handle, "AcDbBlockTableRecord", name);
            out.handle(340, layout);
        }
        out.text(0, "ENDTAB");
    }
    out.text(0, "ENDSEC");
}

/// The view in which the drawing opens: the whole sheet.
fn viewport(out: &mut Out, size: Point) {
    out.point(0, 0.0, 0.0);
    out.point(1, 1.0, 1.0);
    out.point(2, size.x / 2.0, size.y / 2.0);
    out.point(3, 0.0, 0.0);
    out.point(4, 10.0, 10.0);
    out.point(5, 10.0, 10.0);
    for (code, value) in [(16, 0.0), (26, 0.0), (36, 1.0), (17, 0.0), (27, 0.0), (37, 0.0)] {
        out.real(code, value, 1);
    }
    out.real(40, size.y.max(1.0) * 1.05, 4);
    out.real(41, if size.y > 0.0 { size.x / size.y } else { 1.0 }, 4);
    for (code, value) in [(42, 50.0), (43, 0.0), (44, 0.0), (50, 0.0), (51, 0.0)] {
        out.real(code, value, 1);
    }
    for (code, value) in [(71, 0), (72, 1000), (73, 1), (74, 3), (75, 0), (76, 0), (77, 0), (78, 0)] {
        out.whole(code, value);
    }
}

fn blocks(out: &mut Out) {
    section(out, "BLOCKS");
    if out.version == DxfVersion::R2000 {
        for (i, (name, owner)) in
            [("*Model_Space", MODEL_SPACE), ("*Paper_Space", id::PAPER_SPACE)].into_iter().enumerate()
        {
            let handle = id::BLOCKS + 2 * i as u64;
            let head = |out: &mut Out, kind: &str, handle: u64, subclass: &str| {
                out.text(0, kind);
                out.handle(5, handle);
                out.handle(330, owner);
                out.text(100, "AcDbEntity");
                if i == 1 {
                    out.whole(67, 1); // on paper
                }
                out.text(8, "0");
                out.text(100, subclass);
            };
            head(out, "BLOCK", handle, "AcDbBlockBegin");
            out.text(2, name);
            out.whole(70, 0);
            out.point(0, 0.0, 0.0);
            out.z(30);
            out.text(3, name);
            out.text(1, "");
            head(out, "ENDBLK", handle + 1, "AcDbBlockEnd");
        }
    }
    out.text(0, "ENDSEC");
}

/// A dictionary of names and what they stand for.
fn dictionary(out: &mut Out, handle: u64, owner: u64, entries: &[(&str, u64)]) {
    out.text(0, "DICTIONARY");
    out.handle(5, handle);
    out.handle(330, owner);
    out.text(100, "AcDbDictionary");
    out.whole(281, 1);
    for (name, target) in entries {
        out.text(3, name);
        out.handle(350, *target);
    }
}

fn objects(out: &mut Out, size: Point) {
    section(out, "OBJECTS");
    let root = [("ACAD_GROUP", id::GROUPS), ("ACAD_LAYOUT", id::LAYOUTS), ("ACAD_PLOTSTYLENAME", id::PLOT_STYLES)];
    dictionary(out, id::ROOT, 0, &root);
    dictionary(out, id::GROUPS, id::ROOT, &[]);
    dictionary(out, id::LAYOUTS, id::ROOT, &[("Layout1", id::PAPER_LAYOUT), ("Model", id::MODEL_LAYOUT)]);
    out.text(0, "ACDBDICTIONARYWDFLT");
    out.handle(5, id::PLOT_STYLES);
    out.handle(330, id::ROOT);
    out.text(100, "AcDbDictionary");
    out.whole(281, 1);
    out.text(3, "Normal");
    out.handle(350, id::PLOT_STYLE);
    out.text(100, "AcDbDictionaryWithDefault");
    out.handle(340, id::PLOT_STYLE);
    out.text(0, "ACDBPLACEHOLDER");
    out.handle(5, id::PLOT_STYLE);
    out.handle(330, id::PLOT_STYLES);
    layout(out, "Model", id::MODEL_LAYOUT, MODEL_SPACE, size);
    layout(out, "Layout1", id::PAPER_LAYOUT, id::PAPER_SPACE, size);
    out.text(0, "ENDSEC");
}

fn layout(out: &mut Out, name: &str, handle: u64, block: u64, size: Point) {
    let is_model = block == MODEL_SPACE;
    out.text(0, "LAYOUT");
    out.handle(5, handle);
    out.handle(330, id::LAYOUTS);
    out.text(100, "AcDbPlotSettings");
    for code in [1, 2, 4, 6] {
        out.text(code, "");
    }
    for code in [40, 41, 42, 43, 44, 45, 46, 47, 48, 49, 140, 141] {
        out.real(code, 0.0, 1);
    }
    out.real(142, 1.0, 1);
    out.real(143, 1.0, 1);
    // 1024 marks the plot settings of the model.
    for (code, value) in [(70, if is_model { 1024 } else { 0 }), (72, 1), (73, 0), (74, 5)] {
        out.whole(code, value);
    }
    out.text(7, "");
    out.whole(75, 16);
    out.real(147, 1.0, 1);
    out.real(148, 0.0, 1);
    out.real(149, 0.0, 1);
    out.text(100, "AcDbLayout");
    out.text(1, name);
    out.whole(70, 1);
    out.whole(71, i64::from(!is_model));
    out.point(0, 0.0, 0.0);
    out.point(1, size.x, size.y);
    out.point(2, 0.0, 0.0);
    out.z(32);
    out.point(4, 0.0, 0.0);
    out.z(34);
    out.point(5, size.x, size.y);
    out.z(35);
    out.real(146, 0.0, 1);
    out.point(3, 0.0, 0.0);
    out.z(33);
    for (code, value) in [(16, 1.0), (26, 0.0), (36, 0.0), (17, 0.0), (27, 1.0), (37, 0.0)] {
        out.real(code, value, 1);
    }
    out.whole(76, 0);
    out.handle(330, block);
}
