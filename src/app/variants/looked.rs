//! What is known about each arrangement: figures, findings, pictures. Worked out on a
//! thread of its own and kept until the arrangement changes.

use super::super::App;
use crate::compare::{Row, Table};
use crate::geom::Box3;
use crate::model::{Arrangement, CableId, Catalogue, Enclosure, Part, PartId, Scene, Settings};
use crate::route::CableRun;
use crate::rules::Checker;
use crate::view::list::DrawList;
use crate::view::{SheetInput, ViewKind, ViewOptions, draw};
use eframe::egui;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

/// Page millimetres that the small pictures are drawn for.
pub(super) const PICTURE: [f64; 2] = [30.0, 22.0];

/// One arrangement, checked, measured and drawn.
pub(super) struct Looked {
    of: Arrangement,
    parts: BTreeMap<PartId, Part>,
    enclosure: Arc<Enclosure>,
    /// Its figures.
    pub row: Row,
    /// Open findings: stop, caution, remark.
    pub counts: [usize; 3],
    /// Parts placed, and parts that lie beside the enclosure.
    pub parts_placed: (usize, usize),
    /// The ways of its cables.
    pub runs: BTreeMap<CableId, CableRun>,
    /// Top view and side view, each with its size on the page.
    pub pictures: [(DrawList, [f64; 2]); 2],
}

impl Looked {
    fn at(scene: &Scene, settings: &Arc<Settings>, catalogue: &Arc<Catalogue>) -> Looked {
        let mut checker = Checker::new(settings.clone()).with_catalogue(catalogue.clone());
        checker.check_all(scene);
        let mut counts = [0; 3];
        for f in checker.findings() {
            if checker.is_accepted(scene, f).is_none() {
                counts[f.severity as usize] += 1;
            }
        }
        let pictures = [ViewKind::Top, ViewKind::Side].map(|view| picture(scene, &checker, view));
        Looked {
            of: scene.arrangement().clone(),
            parts: scene.parts.clone(),
            enclosure: scene.enclosure.clone(),
            row: Row::of(scene, &checker),
            counts,
            parts_placed: (checker.placed().len(), checker.placed().unplaced().len()),
            runs: checker.runs().clone(),
            pictures,
        }
    }

    /// True where it is of an arrangement that is the same but for its name.
    fn is_of(&self, scene: &Scene) -> bool {
        let now = scene.arrangement();
        Arc::ptr_eq(&self.enclosure, &scene.enclosure)
            && self.of.places == now.places
            && self.of.cables == now.cables
            && self.of.accepted == now.accepted
            && self.parts == scene.parts
    }
}

fn picture(scene: &Scene, checker: &Checker, view: ViewKind) -> (DrawList, [f64; 2]) {
    let outline: Box3 = scene.enclosure.outline();
    let extent = |dir: crate::geom::Dir| outline.size().along(dir.axis()).as_mm().max(1.0);
    let (wide, high) = (extent(view.right()), extent(view.up()));
    let scale = (PICTURE[0] / wide).min(PICTURE[1] / high);
    let mut input = SheetInput::of(scene, checker.placed(), checker.runs());
    input.options = ViewOptions {
        hidden_edges: false,
        findings: false,
        zones: false,
        ..ViewOptions::default()
    };
    (draw(view, scale, &input), [wide * scale, high * scale])
}

type Answer = (usize, Arc<Looked>);

/// What the window knows about the arrangements.
pub struct Variants {
    /// Name of the arrangement that others are measured against: it stays the base where
    /// others are added, removed or moved, and when an undone removal brings it back.
    pub base: Option<String>,
    /// Differences to the base are marked on the sheet.
    pub marked: bool,
    /// Id of the column that the table is sorted by, and whether the other way round.
    pub sort: Option<(&'static str, bool)>,
    /// What was said of the last swap, and of which part.
    pub swapped: Option<(PartId, crate::editor::swap::Swapped)>,
    /// Swaps go into all arrangements.
    pub everywhere: bool,
    pub(in crate::app) candidates: Option<(u64, PartId, Vec<crate::editor::swap::Candidate>)>,
    looked: Vec<Option<Arc<Looked>>>,
    revision: Option<u64>,
    job: Option<Receiver<Answer>>,
    pub(super) shapes: Vec<super::cards::Drawn>,
}

impl Default for Variants {
    fn default() -> Variants {
        Variants {
            base: None,
            marked: true,
            sort: None,
            swapped: None,
            everywhere: false,
            candidates: None,
            looked: Vec::new(),
            revision: None,
            job: None,
            shapes: Vec::new(),
        }
    }
}

impl Variants {
    /// Forgets everything, for instance after opening another scene.
    pub fn forget(&mut self) {
        *self = Variants {
            marked: self.marked,
            ..Variants::default()
        };
    }

    /// What is known about an arrangement; `None` while it is being worked out.
    pub(super) fn of(&self, index: usize) -> Option<&Arc<Looked>> {
        self.looked.get(index)?.as_ref()
    }

    /// The ways of an arrangement's cables, where they are known.
    pub(in crate::app) fn runs_of(&self, index: usize) -> Option<&BTreeMap<CableId, CableRun>> {
        Some(&self.of(index)?.runs)
    }

    /// The base goes along where it was given another name, or its old one back.
    fn follow_rename(&mut self, scene: &Scene, known: &[Arc<Looked>]) {
        let all = &scene.arrangements;
        let Some(base) = &self.base else { return };
        if all.len() != known.len() || all.iter().any(|a| a.name == *base) {
            return;
        }
        let Some(was) = known.iter().find(|l| l.of.name == *base) else {
            return;
        };
        let fresh = |a: &&Arrangement| known.iter().all(|l| l.of.name != a.name);
        let same = |i: &usize| scene.showing(*i).is_some_and(|there| was.is_of(&there));
        let renamed = (0..all.len()).filter(same).map(|i| &all[i]).find(fresh);
        self.base = renamed.map(|a| a.name.clone()).or(self.base.take());
    }

    /// True while something is worked out.
    pub(super) fn is_busy(&self) -> bool {
        self.job.is_some()
    }
}

impl App {
    /// Keeps what is known about the arrangements up to date. Costs nothing while
    /// nothing changed; waits for the end of a gesture.
    pub(in crate::app) fn look_at_arrangements(&mut self, ctx: &egui::Context) {
        self.take_answers();
        let revision = self.editor.revision();
        let idle = !self.editor.history().is_open();
        let v = &mut self.variants;
        if v.job.is_some() || v.revision == Some(revision) || !idle {
            return;
        }
        v.revision = Some(revision);
        let scene = self.editor.scene();
        let known: Vec<Arc<Looked>> = v.looked.drain(..).flatten().collect();
        v.follow_rename(scene, &known);
        let mut open = Vec::new();
        for i in 0..scene.arrangements.len() {
            let Some(there) = scene.showing(i) else {
                continue;
            };
            let same = known.iter().find(|l| l.is_of(&there));
            v.looked
                .push(same.map(|l| match l.of.name == there.arrangement().name {
                    true => l.clone(),
                    false => Arc::new(l.renamed(&there.arrangement().name)),
                }));
            if same.is_none() {
                open.push((i, there));
            }
        }
        if open.is_empty() {
            return;
        }
        let (send, answers) = channel();
        let (settings, catalogue) = (
            self.editor.settings().clone(),
            self.editor.catalogue().clone(),
        );
        let ctx = ctx.clone();
        std::thread::spawn(move || {
            for (i, scene) in open {
                let looked = Arc::new(Looked::at(&scene, &settings, &catalogue));
                // A window that has closed takes no answer.
                if send.send((i, looked)).is_err() {
                    return;
                }
                ctx.request_repaint();
            }
            drop(send);
            ctx.request_repaint();
        });
        v.job = Some(answers);
    }

    fn take_answers(&mut self) {
        let v = &mut self.variants;
        let Some(job) = &v.job else { return };
        loop {
            match job.try_recv() {
                Ok((i, looked)) => {
                    if let Some(slot) = v.looked.get_mut(i) {
                        *slot = Some(looked);
                    }
                }
                Err(TryRecvError::Empty) => return,
                Err(TryRecvError::Disconnected) => break,
            }
        }
        v.job = None;
    }

    /// The table of what is known; `None` while something is still worked out.
    pub(in crate::app) fn compared(&self) -> Option<Table> {
        let scene = self.editor.scene();
        let rows: Option<Vec<Row>> = (0..scene.arrangements.len())
            .map(|i| self.variants.of(i).map(|l| l.row.clone()))
            .collect();
        Some(Table {
            title: scene.title.clone(),
            rows: rows?,
            base: self.base(),
        })
    }
}

impl Looked {
    fn renamed(&self, name: &str) -> Looked {
        let mut of = self.of.clone();
        of.name = name.to_owned();
        Looked {
            of,
            parts: self.parts.clone(),
            enclosure: self.enclosure.clone(),
            row: Row {
                name: name.to_owned(),
                figures: self.row.figures.clone(),
            },
            counts: self.counts,
            parts_placed: self.parts_placed,
            runs: self.runs.clone(),
            pictures: self.pictures.clone(),
        }
    }
}
