//! What stands round the entities of a DXF file: header, tables, blocks, objects.
//!
//! The least that release 2000 asks for; every record has a handle and an owner.

use super::DxfLayer;
use std::fmt::Write as _;

/// Handle of the model space's block record, which owns every entity.
pub const MODEL: &str = "1F";
/// The first handle that is free for entities.
pub const FIRST_FREE_HANDLE: u32 = 0x100;

/// The whole file round its entities; `next` is the first handle not used.
pub fn whole(entities: &str, next: u32, layers: &[DxfLayer]) -> String {
    let mut out = String::with_capacity(entities.len() + 8192);
    let _ = write!(
        out,
        "999\nMillimetres. Layers: CUT, MARK, HELP, WORDS, RULER.\n\
         0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$DWGCODEPAGE\n3\nANSI_1252\n\
         9\n$INSUNITS\n70\n4\n9\n$MEASUREMENT\n70\n1\n9\n$LUNITS\n70\n2\n\
         9\n$HANDSEED\n5\n{next:X}\n0\nENDSEC\n\
         0\nSECTION\n2\nCLASSES\n0\nENDSEC\n0\nSECTION\n2\nTABLES\n"
    );
    table(
        &mut out,
        "VPORT",
        "8",
        &[
            "0\nVPORT\n5\n29\n330\n8\n100\nAcDbSymbolTableRecord\n100\nAcDbViewportTableRecord\n\
           2\n*Active\n70\n0\n10\n0.0\n20\n0.0\n11\n1.0\n21\n1.0\n12\n90.0\n22\n60.0\n40\n200.0\n41\n1.5\n"
                .to_owned(),
        ],
    );
    let linetype = |handle: &str, name: &str, says: &str| {
        format!(
            "0\nLTYPE\n5\n{handle}\n330\n5\n100\nAcDbSymbolTableRecord\n\
             100\nAcDbLinetypeTableRecord\n2\n{name}\n70\n0\n3\n{says}\n72\n65\n73\n0\n40\n0.0\n"
        )
    };
    table(
        &mut out,
        "LTYPE",
        "5",
        &[
            linetype("14", "ByBlock", ""),
            linetype("15", "ByLayer", ""),
            linetype("16", "Continuous", "Solid line"),
        ],
    );
    let layer = |handle: u32, name: &str, colour: u8| {
        format!(
            "0\nLAYER\n5\n{handle:X}\n330\n2\n100\nAcDbSymbolTableRecord\n\
             100\nAcDbLayerTableRecord\n2\n{name}\n70\n0\n62\n{colour}\n6\nContinuous\n370\n-3\n"
        )
    };
    let mut records = vec![layer(0x10, "0", 7)];
    records.extend(
        (0x80..)
            .zip(layers)
            .map(|(handle, each)| layer(handle, each.name, each.colour)),
    );
    table(&mut out, "LAYER", "2", &records);
    let style = "0\nSTYLE\n5\n11\n330\n3\n100\nAcDbSymbolTableRecord\n\
                 100\nAcDbTextStyleTableRecord\n2\nStandard\n70\n0\n40\n0.0\n41\n1.0\n50\n0.0\n\
                 71\n0\n42\n2.5\n3\ntxt\n4\n\n";
    table(&mut out, "STYLE", "3", &[style.to_owned()]);
    table(&mut out, "VIEW", "6", &[]);
    table(&mut out, "UCS", "7", &[]);
    let application = "0\nAPPID\n5\n12\n330\n9\n100\nAcDbSymbolTableRecord\n\
                       100\nAcDbRegAppTableRecord\n2\nACAD\n70\n0\n";
    table(&mut out, "APPID", "9", &[application.to_owned()]);
    out.push_str(
        "0\nTABLE\n2\nDIMSTYLE\n5\nA\n330\n0\n100\nAcDbSymbolTable\n70\n1\n\
         100\nAcDbDimStyleTable\n71\n0\n\
         0\nDIMSTYLE\n105\n27\n330\nA\n100\nAcDbSymbolTableRecord\n\
         100\nAcDbDimStyleTableRecord\n2\nStandard\n70\n0\n0\nENDTAB\n",
    );
    let block_record = |handle: &str, name: &str| {
        format!(
            "0\nBLOCK_RECORD\n5\n{handle}\n330\n1\n100\nAcDbSymbolTableRecord\n\
             100\nAcDbBlockTableRecord\n2\n{name}\n"
        )
    };
    table(
        &mut out,
        "BLOCK_RECORD",
        "1",
        &[
            block_record(MODEL, "*Model_Space"),
            block_record("1B", "*Paper_Space"),
        ],
    );
    out.push_str("0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n");
    block(&mut out, "*Model_Space", MODEL, "20", "21", "");
    block(&mut out, "*Paper_Space", "1B", "1C", "1D", "67\n1\n");
    let _ = write!(
        out,
        "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n\
         0\nSECTION\n2\nOBJECTS\n0\nDICTIONARY\n5\nC\n330\n0\n100\nAcDbDictionary\n281\n1\n\
         3\nACAD_GROUP\n350\nD\n0\nDICTIONARY\n5\nD\n330\nC\n100\nAcDbDictionary\n281\n1\n\
         0\nENDSEC\n0\nEOF\n"
    );
    out
}

fn table(out: &mut String, name: &str, handle: &str, records: &[String]) {
    let _ = write!(
        out,
        "0\nTABLE\n2\n{name}\n5\n{handle}\n330\n0\n100\nAcDbSymbolTable\n70\n{}\n{}0\nENDTAB\n",
        records.len(),
        records.concat()
    );
}

fn block(out: &mut String, name: &str, owner: &str, begin: &str, end: &str, paper: &str) {
    let _ = write!(
        out,
        "0\nBLOCK\n5\n{begin}\n330\n{owner}\n100\nAcDbEntity\n{paper}8\n0\n100\nAcDbBlockBegin\n\
         2\n{name}\n70\n0\n10\n0.0\n20\n0.0\n30\n0.0\n3\n{name}\n1\n\n\
         0\nENDBLK\n5\n{end}\n330\n{owner}\n100\nAcDbEntity\n{paper}8\n0\n100\nAcDbBlockEnd\n"
    );
}
