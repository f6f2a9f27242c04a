//! The pointer over the views: its doings become the editor's events.

use super::App;
use crate::editor::tool::{Event, Target, Tool};
use crate::view::ViewKind;
use eframe::egui::{self, Pos2, Rect, Sense, Ui, Vec2};

/// How far the pointer moves before a press becomes a drag, in points.
const DRAG: f32 = 4.0;

impl App {
    /// Turns the pointer's doings over the views into the editor's events.
    pub(super) fn pointer_input(&mut self, ui: &Ui, panes: &[(ViewKind, Rect)]) {
        let mut over = None;
        for (view, area) in panes {
            let id = ui.scope_id().with(("view", *view));
            let response = ui.interact(*area, id, Sense::click_and_drag());
            response
                .widget_info(|| egui::WidgetInfo::labeled(egui::Role::Canvas, true, view.name()));
            if response.contains_pointer() {
                over = Some((*view, *area));
            }
            self.context_menu(&response, *view, *area);
        }
        let (at, pressed, released, middle, space, delta) = ui.input(|i| {
            (
                i.pointer.latest_pos(),
                i.pointer.primary_pressed(),
                i.pointer.primary_released(),
                i.pointer.middle_down(),
                i.key_down(egui::Key::Space),
                i.pointer.delta(),
            )
        });
        let Some(at) = at else {
            self.sheet.pointer = None;
            if released && self.dialog.is_none() {
                self.released(false);
            }
            return;
        };
        if self.dialog.is_some() {
            return;
        }
        self.sheet.pointer = over.map(|(view, area)| (view, self.scene_point(view, area, at)));
        if let Some((view, area)) = over {
            self.zoom_input(ui, view, area, at);
            let primary = ui.input(|i| i.pointer.primary_down());
            if middle || (space && primary) {
                self.camera.pan(view, delta);
                ui.set_cursor_icon(egui::CursorIcon::Grabbing);
                return;
            }
        }
        let (alt, shift) = ui.input(|i| (i.modifiers.alt, i.modifiers.shift));
        let target = over.map(|(view, area)| self.target(view, area, at));
        let down = ui.input(|i| i.pointer.primary_down());
        if matches!(self.editor.tool(), Tool::Idle) {
            self.sheet.hover = over.and_then(|(view, _)| self.owner_at(view, at));
            if self.editor.measuring().is_none() || !(down || released) {
                self.sheet.pressed_at = None;
            }
        }
        // A press and a release in one frame: the button's state tells their order.
        if released && (down || !pressed) {
            self.follow(at, over, target.clone(), delta, alt);
            self.released(over.is_some());
        }
        if pressed && let (Some((view, area)), Some(target)) = (over, target.clone()) {
            self.press(ui, (view, area), at, target, shift);
            if !down {
                self.released(true);
            }
        } else if !released {
            self.follow(at, over, target, delta, alt);
            // The release went to another window, or to none: nobody saw where.
            let held = !matches!(self.editor.tool(), Tool::Idle | Tool::Placing(_));
            if held && !down && !pressed {
                self.released(false);
            }
        }
    }

    fn press(&mut self, ui: &Ui, pane: (ViewKind, Rect), at: Pos2, target: Target, add: bool) {
        if let Some(focused) = ui.memory(|m| m.focused()) {
            ui.memory_mut(|m| m.surrender_focus(focused));
        }
        let (view, area) = pane;
        self.sheet.pressed_at = Some((view, area, at));
        let pointer = self.pointer(view, area, at);
        self.editor.handle(Event::Press {
            pointer,
            target,
            add,
        });
    }

    /// Tells the editor where the pointer is, where that changed.
    fn follow(
        &mut self,
        at: Pos2,
        over: Option<(ViewKind, Rect)>,
        target: Option<Target>,
        delta: Vec2,
        alt: bool,
    ) {
        if delta != Vec2::ZERO || alt != self.sheet.alt {
            self.sheet.alt = alt;
            self.pointer_moved(at, over, target.unwrap_or_default(), alt);
        }
    }

    fn pointer_moved(
        &mut self,
        at: Pos2,
        over: Option<(ViewKind, Rect)>,
        target: Target,
        free: bool,
    ) {
        let holding = match self.editor.tool() {
            Tool::Idle if self.editor.measuring().is_some() => over,
            Tool::Idle => return,
            Tool::Placing(_) => match over {
                Some(pane) => Some(pane),
                None => {
                    self.editor.leave_sheet();
                    return;
                }
            },
            Tool::Cabling(_) => over,
            // A drag goes on in the view where it began, wherever the pointer is.
            _ => self.sheet.pressed_at.map(|(view, area, _)| (view, area)),
        };
        let Some((view, area)) = holding else { return };
        let far = self
            .sheet
            .pressed_at
            .is_none_or(|(_, _, from)| (at - from).length() > DRAG);
        let small = match self.editor.tool() {
            Tool::Pressed { .. } | Tool::Band(_) | Tool::Idle => true,
            Tool::Leading(l) => !l.dragged,
            _ => false,
        };
        if !far && small {
            return;
        }
        // A part that is dragged because its port was missed comes off its holes.
        if self.look.ports && matches!(self.editor.tool(), Tool::Pressed { .. }) {
            self.say(
                "Drag from a port to lead a cable; switch off 'Lead cables' to move parts."
                    .to_owned(),
            );
            return;
        }
        // A distance from one view into another would mean nothing.
        let other = |(from, _, _): &(ViewKind, Rect, Pos2)| *from != view;
        let idle = matches!(self.editor.tool(), Tool::Idle);
        if idle && self.sheet.pressed_at.as_ref().is_some_and(other) {
            return;
        }
        let pointer = self.pointer(view, area, at);
        self.editor.handle(Event::Move {
            pointer,
            target,
            free,
        });
    }

    fn released(&mut self, over_sheet: bool) {
        let placing = matches!(self.editor.tool(), Tool::Placing(_));
        let dragged = std::mem::take(&mut self.sheet.from_shelf);
        // A click on the shelf takes a part in hand; the next click puts it down.
        if placing && !over_sheet && !dragged {
            return;
        }
        // Beside the views nobody sees where it would stand.
        let beside = placing || matches!(self.editor.tool(), Tool::Moving(_));
        if beside && !over_sheet {
            self.editor.handle(Event::Cancel);
            self.say("Put back: it was let go beside the views.".to_owned());
            return;
        }
        let said = match self.editor.tool() {
            Tool::Cabling(c) => match (&c.over, &c.verdict) {
                (Some(_), Some(Err(why))) => Some(format!("Not joined: {why}.")),
                _ => None,
            },
            _ => None,
        };
        self.editor.handle(Event::Release);
        if self.editor.take_locked_hint() {
            self.say("It is locked and stays where it is; L unlocks it.".to_owned());
        }
        let added = match self.editor.tool() {
            Tool::Idle if placing => self.editor.selection().only().cloned(),
            _ => None,
        };
        let added = added.and_then(|id| self.editor.scene().parts.get(&id).cloned());
        let added = added.map(|part| format!("Added {}.", part.name));
        if let Some(text) = said.or(added) {
            self.say(text);
        }
    }

    fn zoom_input(&mut self, ui: &Ui, view: ViewKind, area: Rect, at: Pos2) {
        let (scroll, zoom, shift) =
            ui.input(|i| (i.smooth_scroll_delta(), i.zoom_delta(), i.modifiers.shift));
        if zoom != 1.0 {
            self.camera.zoom(zoom, Some((view, area, at)));
        } else if shift || scroll.x != 0.0 {
            if scroll != Vec2::ZERO {
                self.camera.pan(view, scroll);
            }
        } else if scroll.y != 0.0 {
            let factor = (scroll.y / 240.0).exp();
            self.camera.zoom(factor, Some((view, area, at)));
        }
    }
}
