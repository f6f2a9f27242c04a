//! One view in the window, kept from frame to frame.
//!
//! What a frame costs depends on what changed. Nothing: last frame's triangles. The pan:
//! the same triangles, moved. The zoom: a small list is drawn anew; a large one is
//! stretched until the zoom rests, since a frame that waits for it would stutter. What is
//! under the pointer lies in a small list of its own.

use super::canvas::PPM;
use super::painter::{self, Ready, Screen};
use super::{App, theme};
use crate::editor::tool::Tool;
use crate::view::list::{DrawList, GridStep, Line, Owner, Path, Rect as PageRect, Role};
use crate::view::{SheetInput, ViewKind, ViewOptions, differences, draw, pointed};
use eframe::egui::emath::GuiRounding as _;
use eframe::egui::{Pos2, Rect, Ui};
use std::time::{Duration, Instant};

/// Lists with more items than this are stretched while the zoom goes on.
const LARGE: usize = 2_500;
/// A zoom that stood still for this long has come to rest.
const REST: Duration = Duration::from_millis(90);

/// A drawn view.
pub struct Pane {
    view: ViewKind,
    key: Key,
    /// Points of a scene millimetre that the list was drawn for.
    scale: f32,
    list: DrawList,
    /// Made with the list's origin in the window's corner.
    ready: Vec<Ready>,
    /// What of the page is in `ready`; `None` for all of it.
    made: Option<PageRect>,
    /// Where `placed` lies.
    screen: Screen,
    placed: Vec<Ready>,
}

/// What a list depends on, but for its scale.
#[derive(Clone, PartialEq)]
struct Key {
    revision: u64,
    options: ViewOptions,
    panel: Option<usize>,
    focus: Option<String>,
    theme: (bool, bool),
    base: Option<(usize, bool)>,
    pixels: f32,
}

/// The zoom, watched for its rest.
#[derive(Clone, Copy)]
pub struct Zoom {
    scale: f32,
    since: Instant,
}

impl Zoom {
    /// Takes note of the scale; how long it has stood still.
    fn rested(seen: &mut Option<Zoom>, scale: f32) -> Duration {
        match seen {
            Some(zoom) if zoom.scale == scale => zoom.since.elapsed(),
            Some(zoom) => {
                *zoom = Zoom {
                    scale,
                    since: Instant::now(),
                };
                Duration::ZERO
            }
            None => {
                let since = Instant::now();
                *seen = Some(Zoom { scale, since });
                REST
            }
        }
    }
}

impl Pane {
    /// Which view it is.
    pub(super) fn view(&self) -> ViewKind {
        self.view
    }

    /// What is drawn.
    pub(super) fn list(&self) -> &DrawList {
        &self.list
    }

    /// Where it lies in the window.
    pub(super) fn screen(&self) -> Screen {
        self.screen
    }

    /// Brings the triangles to their place; those that are missing are made.
    fn place(&mut self, screen: Screen, area: Rect, app: &App) {
        let lacks = self.made.is_some_and(|made| {
            let seen = page_rect(screen, area);
            seen.min.x < made.min.x
                || seen.min.y < made.min.y
                || seen.max.x > made.max.x
                || seen.max.y > made.max.y
        });
        if lacks {
            self.make(screen, area, app);
        } else if self.screen == screen {
            return;
        }
        self.screen = screen;
        self.placed = painter::moved(&self.ready, screen.origin, screen.ppm / PPM);
    }

    fn make(&mut self, screen: Screen, area: Rect, app: &App) {
        // Half a pane more on each side, so that a pan does not make it anew at once.
        let wide = page_rect(screen, area.expand2(area.size() / 2.0));
        let all = self.list.bounds().is_none_or(|b| {
            wide.min.x <= b.min.x
                && wide.min.y <= b.min.y
                && wide.max.x >= b.max.x
                && wide.max.y >= b.max.y
        });
        self.made = (!all).then_some(wide);
        let corner = Screen {
            origin: Pos2::ZERO,
            ppm: PPM,
        };
        let palette = app.palette();
        let colours = |role, wash| theme::role_colour(&palette, role, wash);
        self.ready = painter::ready(&self.list, corner, wide, self.key.pixels, &colours);
    }
}

fn page_rect(screen: Screen, area: Rect) -> PageRect {
    PageRect::spanning(screen.page(area.min), screen.page(area.max))
}

impl App {
    /// Draws one view, from what was made before where that still holds.
    pub(super) fn draw_pane(&mut self, ui: &Ui, view: ViewKind, area: Rect) {
        let pixels = ui.ctx().pixels_per_point();
        let key = Key {
            revision: self.editor.revision(),
            options: self.view_options(),
            panel: self.sheet.panel,
            focus: self.focus.clone(),
            theme: (self.look.dark, self.look.contrast),
            base: self.marked_base(),
            pixels,
        };
        let scale = self.camera.scale;
        let rested = Zoom::rested(&mut self.sheet.zoom, scale);
        let at = self.sheet.panes.iter().position(|p| p.view == view);
        let old = at.map(|i| self.sheet.panes.swap_remove(i));
        let mut pane = match old.filter(|p| p.key == key) {
            Some(pane) if pane.scale == scale => pane,
            Some(pane) if rested < REST && pane.list.items.len() > LARGE => {
                ui.ctx().request_repaint_after(REST - rested);
                pane
            }
            _ => self.drawn(ui, view, area, key),
        };
        let screen = self.screen_of(view, area, pane.scale, pixels);
        pane.place(screen, area, self);
        let under = ui.painter().with_clip_rect(area);
        if self.look.grid {
            let grid = self.grid(view, area, screen);
            let ready = self.made_at(&grid, screen, area, pixels);
            painter::paint(&under, &ready, screen, PPM);
        }
        painter::paint(&under, &pane.placed, screen, PPM);
        if let Some(owner) = self.hover_owner() {
            let list = self.pointed_list(view, pane.scale, owner);
            let ready = self.made_at(&list, screen, area, pixels);
            painter::paint(&under, &ready, screen, PPM);
        }
        self.sheet.panes.push(pane);
    }

    fn made_at(&self, list: &DrawList, screen: Screen, area: Rect, pixels: f32) -> Vec<Ready> {
        let palette = self.palette();
        let colours = |role, wash| theme::role_colour(&palette, role, wash);
        painter::ready(list, screen, page_rect(screen, area), pixels, &colours)
    }

    /// Where a list drawn for a scale lies: its origin on a whole pixel, so that hair
    /// lines stay sharp.
    fn screen_of(&self, view: ViewKind, area: Rect, scale: f32, pixels: f32) -> Screen {
        let outline = self.editor.scene().enclosure.outline();
        let corner = outline
            .min()
            .with(view.right().axis(), outline.face(view.right().opposite()))
            .with(view.up().axis(), outline.face(view.up()));
        let at = corner.as_mm().map(|v| v as f32);
        Screen {
            origin: self.camera.screen(view, area, at).round_to_pixels(pixels),
            ppm: PPM * self.camera.scale / scale,
        }
    }

    fn drawn(&self, ui: &Ui, view: ViewKind, area: Rect, key: Key) -> Pane {
        let scale = self.camera.scale;
        let list = self.with_input(None, |input, chosen_base| {
            let page = f64::from(scale / PPM);
            let mut list = draw(view, page, input);
            if chosen_base {
                let (base, all) = self.differences();
                let runs = self.variants.runs_of(base);
                list.append(differences(view, page, input.scene, base, &all, runs));
            }
            list
        });
        let mut pane = Pane {
            view,
            key,
            scale,
            list,
            ready: Vec::new(),
            made: None,
            screen: Screen {
                origin: Pos2::ZERO,
                ppm: 0.0,
            },
            placed: Vec::new(),
        };
        let screen = self.screen_of(view, area, scale, ui.ctx().pixels_per_point());
        pane.make(screen, area, self);
        pane
    }

    fn pointed_list(&self, view: ViewKind, scale: f32, owner: Owner) -> DrawList {
        self.with_input(Some(owner), |input, _| {
            pointed(view, f64::from(scale / PPM), input)
        })
    }

    /// Calls with what the views show; true where differences are marked.
    fn with_input<R>(
        &self,
        hover: Option<Owner>,
        call: impl FnOnce(&SheetInput<'_>, bool) -> R,
    ) -> R {
        let checker = self.editor.checker();
        let scene = self.editor.scene();
        let findings: Vec<_> = match hover {
            // Only what is pointed at is drawn.
            Some(_) => Vec::new(),
            None => checker
                .findings()
                .into_iter()
                .filter(|f| checker.is_accepted(scene, f).is_none() && !self.is_hidden(f))
                .collect(),
        };
        let offers = match self.editor.tool() {
            Tool::Placing(p) => p.offers.as_slice(),
            Tool::Moving(m) => m.offers.as_slice(),
            _ => &[],
        };
        let sides = self.editor.held_sides();
        let input = SheetInput {
            scene,
            placed: checker.placed(),
            findings: &findings,
            runs: checker.runs(),
            selection: self.editor.selection().parts(),
            catalogue: Some(self.editor.catalogue()),
            chosen: self.chosen_owner(&findings),
            hover,
            offers,
            ghost: None,
            sides: sides.as_ref().map_or(&[], |s| s.as_slice()),
            panel: self.sheet.panel,
            measured: self.editor.measuring().and_then(|m| m.result.as_ref()),
            options: self.view_options(),
        };
        call(&input, self.marked_base().is_some())
    }

    /// Grid lines of 1, 10 and 100 mm, left out where they would crowd.
    fn grid(&self, view: ViewKind, area: Rect, screen: Screen) -> DrawList {
        let mut list = DrawList::new();
        for (step, mm) in [
            (GridStep::Mm1, 1.0),
            (GridStep::Mm10, 10.0),
            (GridStep::Mm100, 100.0),
        ] {
            if mm * self.camera.scale < 5.0 {
                continue;
            }
            let a = self.camera.scene(view, area, area.min);
            let b = self.camera.scene(view, area, area.max);
            for (across, dir) in [(true, view.right()), (false, view.up())] {
                let i = dir.axis().index();
                let (low, high) = (a[i].min(b[i]), a[i].max(b[i]));
                let mut n = (low / mm).ceil() as i64;
                while n as f32 * mm <= high {
                    let mut p = self.camera.middle;
                    p[i] = n as f32 * mm;
                    let at = self.camera.screen(view, area, p);
                    let (from, to) = match across {
                        true => (Pos2::new(at.x, area.top()), Pos2::new(at.x, area.bottom())),
                        false => (Pos2::new(area.left(), at.y), Pos2::new(area.right(), at.y)),
                    };
                    list.pen().stroke(
                        Path::line(screen.page(from), screen.page(to)),
                        Line::HAIR,
                        Role::Grid(step),
                    );
                    n += 1;
                }
            }
        }
        list
    }
}
