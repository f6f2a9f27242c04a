//! The build sheet on pages: A4 or Letter, upright.

use super::{Block, BuildSheet, Rows};
use crate::paper::flow::{Flow, Head, Paper};
use crate::paper::template::PrintPage;

/// Room to write in, in millimetres.
const BLANK: f64 = 34.0;

/// The pages of a build sheet.
pub fn pages(sheet: &BuildSheet, paper: Paper) -> Vec<PrintPage> {
    let foot = format!("Build sheet: {} ({})", sheet.title, sheet.subtitle);
    let mut flow = Flow::new(paper, &foot);
    flow.title(&format!("Build sheet: {}", sheet.title));
    flow.note(&sheet.subtitle);
    for section in &sheet.sections {
        let pictures = matches!(section.blocks.get(1), Some(Block::Pictures(_)));
        flow.heading(section.title, if pictures { 76.0 } else { 30.0 });
        for block in &section.blocks {
            put(&mut flow, block);
        }
    }
    let size = [paper.width, paper.height];
    let pages = flow.finish().into_iter();
    pages
        .map(|(list, name)| PrintPage { list, size, name })
        .collect()
}

fn put(flow: &mut Flow, block: &Block) {
    match block {
        Block::Note(words) => flow.note(words),
        Block::Caution(words) => flow.caution(words),
        Block::Heading(words) => flow.sub_heading(words, 14.0),
        Block::Rows(rows) => table(flow, rows),
        Block::Ticks(lines) => {
            for line in lines {
                flow.tick(line);
            }
        }
        Block::Pictures(pictures) => {
            let pictures: Vec<_> = pictures
                .iter()
                .map(|p| (p.caption.clone(), p.list.clone(), p.size))
                .collect();
            flow.pictures(&pictures);
        }
    }
}

fn table(flow: &mut Flow, rows: &Rows) {
    let heads: Vec<Head<'_>> = rows
        .heads
        .iter()
        .map(|h| Head {
            title: &h.title,
            figure: h.figure,
            least: if h.blank { BLANK } else { 0.0 },
        })
        .collect();
    flow.table(&heads, &rows.rows, rows.tick);
}
