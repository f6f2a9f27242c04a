//! Everything that a menu, a key or a button can ask for, in one list: text,
//! tooltip and key stand beside one another, so none can be forgotten.

use super::App;
use crate::editor::ways::Task;
use crate::geom::{Axis, Dir, Length};
use eframe::egui::{Key, KeyboardShortcut, Modifiers};

macro_rules! actions {
    ($($name:ident: $text:literal, $tip:literal, $key:expr;)+) => {
        /// Something the user can ask for.
        #[derive(Clone, Copy, PartialEq, Eq, Debug)]
        pub enum Action { $(#[doc = $tip] $name,)+ }

        impl Action {
            /// All of them.
            pub const ALL: &'static [Action] = &[$(Action::$name,)+];

            /// Its words in menus and buttons.
            pub const fn text(self) -> &'static str {
                match self { $(Action::$name => $text,)+ }
            }

            /// What it does, beyond its name.
            pub const fn tip(self) -> &'static str {
                match self { $(Action::$name => $tip,)+ }
            }

            /// Its key.
            pub fn key(self) -> Option<KeyboardShortcut> {
                match self { $(Action::$name => $key,)+ }
            }
        }
    };
}

const fn key(modifiers: Modifiers, key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(modifiers, key))
}

const CTRL: Modifiers = Modifiers::COMMAND;
const CTRL_SHIFT: Modifiers = Modifiers {
    shift: true,
    ..Modifiers::COMMAND
};
const NONE: Modifiers = Modifiers::NONE;
const SHIFT: Modifiers = Modifiers::SHIFT;

actions! {
    New: "New…", "Starts an empty scene over an enclosure of your choice.", key(CTRL, Key::N);
    Open: "Open…", "Opens a scene file; the one at hand is asked about first.", key(CTRL, Key::O);
    Save: "Save", "Writes the scene to its file. The old file stays whole until the new one is.", key(CTRL, Key::S);
    SaveAs: "Save as…", "Writes the scene to another file and goes on with that one.", key(CTRL_SHIFT, Key::S);
    Export: "Export picture…", "Writes a PNG or SVG for the customer, or of the sheet as you see it.", key(CTRL, Key::E);
    Paper: "Export for the bench…", "Writes the build sheet, a list, or a drill and cut template at full size.", key(CTRL_SHIFT, Key::E);
    Quit: "Quit", "Closes the window; unsaved changes are asked about first.", key(CTRL, Key::Q);
    Undo: "Undo", "Takes the last gesture back.", key(CTRL, Key::Z);
    Redo: "Redo", "Repeats the gesture that was taken back.", key(CTRL_SHIFT, Key::Z);
    SelectAll: "Select all", "Selects every part that is not locked or hidden.", key(CTRL, Key::A);
    Duplicate: "Duplicate", "Copies the selected parts 10 mm beside themselves; cables are not copied.", key(CTRL, Key::D);
    Delete: "Remove", "Takes the selected parts or the selected cable out of the scene.", key(NONE, Key::Delete);
    TurnX: "Turn about x", "A quarter turn about the axis that runs to the right. Shift turns it back.", key(NONE, Key::X);
    TurnY: "Turn about y", "A quarter turn about the axis that runs to the back. Shift turns it back.", key(NONE, Key::Y);
    TurnZ: "Turn about z", "A quarter turn about the axis that runs up. Shift turns it back.", key(NONE, Key::Z);
    BackX: "Turn back about x", "The same quarter turn the other way.", key(SHIFT, Key::X);
    BackY: "Turn back about y", "The same quarter turn the other way.", key(SHIFT, Key::Y);
    BackZ: "Turn back about z", "The same quarter turn the other way.", key(SHIFT, Key::Z);
    Lock: "Lock or unlock", "A locked part cannot be dragged, nudged or removed.", key(NONE, Key::L);
    Hide: "Hide or show", "A hidden part is not drawn, but still checked.", key(NONE, Key::H);
    ShowAll: "Show all", "Draws all hidden parts again.", key(SHIFT, Key::H);
    Fit: "Fit sheet to window", "Shows the whole enclosure in every view.", key(NONE, Key::F);
    ZoomIn: "Zoom in", "Also: scroll over a view, which keeps the place under the pointer.", key(CTRL, Key::Plus);
    ZoomOut: "Zoom out", "Also: scroll over a view.", key(CTRL, Key::Minus);
    Lead: "Lead cables", "Shows the ports. Drag from port to port to join them with a cable.", key(NONE, Key::C);
    Plug: "Give every device its plug", "Lays the leads that are missing: the shortest choice there is, coolers and pumps in their own headers, under port types, currents and lengths. Leads that are there stay.", key(NONE, Key::P);
    PlugAnew: "Give out all leads anew", "Takes all leads off but locked ones, hoses and those led along a place, and lays the shortest choice.", None;
    FindWay: "Find its way", "Lays the selected cable along a free way, and lays it anew when things move.", key(NONE, Key::W);
    NextWay: "Next best way", "Lays the selected cable along the next longer free way, after the longest along the shortest.", key(SHIFT, Key::W);
    FindAllWays: "Find all ways", "Lays all cables along free ways; places that they are led along stay.", None;
    StraightWay: "Back to straight", "Takes the corners off the selected cable's way: straight between the places it is led along.", None;
    Snap: "Snap to holes", "A held part jumps to places where its screw holes meet. Alt suspends it.", key(NONE, Key::S);
    Carry: "Carry what is mounted", "Parts mounted on a moved part move with it.", key(NONE, Key::M);
    Measure: "Measure", "Click two parts or walls for the smallest gap between them, or drag from point to point.", key(NONE, Key::D);
    Front: "Front view", "Opens a front view beside the side view.", key(NONE, Key::V);
    Shelf: "Shelf", "Shows or folds away the shelf of parts at the left.", key(NONE, Key::F2);
    Details: "Details", "Shows or folds away the details at the right.", key(NONE, Key::F3);
    Findings: "Findings", "Shows or folds away the findings and cables below.", key(NONE, Key::F4);
    NextFinding: "Next finding", "Goes to the next finding and shows its place.", key(NONE, Key::F8);
    Branch: "Branch", "Copies the arrangement at hand beside itself and goes on with the copy.", key(CTRL, Key::B);
    RenameArrangement: "Rename…", "Gives the arrangement at hand another name.", None;
    RemoveArrangement: "Remove arrangement", "Takes the arrangement at hand out of the scene; the last one stays.", None;
    NextArrangement: "Next arrangement", "Shows the next arrangement, after the last the first.", key(NONE, Key::Period);
    LastArrangement: "Arrangement before", "Shows the arrangement before this one in the row.", key(NONE, Key::Comma);
    Arrangements: "Pictures of all", "Shows all arrangements side by side as small pictures, and what differs.", key(NONE, Key::F9);
    Comparison: "Comparison table", "Shows the figures of all arrangements side by side.", key(NONE, Key::F10);
    Labels: "Part names", "Writes the names of the parts on the sheet.", key(NONE, Key::N);
    HiddenEdges: "Hidden edges", "Draws edges behind nearer parts as dashed lines.", key(NONE, Key::E);
    Grid: "Grid", "Draws the grid of 1, 10 and 100 mm.", key(NONE, Key::G);
    Theme: "Light or dark", "Changes between the light sheet and the dark one.", key(NONE, Key::F6);
    Contrast: "High contrast", "Stronger lines and lettering in both themes.", key(NONE, Key::F7);
    Help: "Keys and gestures", "Lists what mouse and keys do on the sheet.", key(NONE, Key::F1);
}

impl Action {
    /// True where it can be carried out now.
    pub fn enabled(self, app: &App) -> bool {
        let selection = app.editor.selection();
        match self {
            Action::Undo => app.editor.history().undo_label().is_some(),
            Action::Redo => app.editor.history().redo_label().is_some(),
            Action::Delete => selection.cable().is_some() || app.editor.any_deletable(),
            Action::TurnX
            | Action::TurnY
            | Action::TurnZ
            | Action::BackX
            | Action::BackY
            | Action::BackZ => {
                app.editor.is_holding() || !app.editor.movable(selection.parts()).is_empty()
            }
            Action::Duplicate | Action::Lock | Action::Hide => {
                !selection.parts().is_empty() || app.editor.is_holding()
            }
            Action::ShowAll => {
                let places = &app.editor.scene().arrangement().places;
                places.values().any(|p| p.hidden)
            }
            Action::FindWay | Action::NextWay => {
                selection.cable().is_some_and(|id| !app.editor.is_hose(id))
            }
            Action::FindAllWays => !app.editor.scene().arrangement().cables.is_empty(),
            Action::StraightWay => app
                .selected_cable()
                .is_some_and(|c| c.finds || c.has_corners()),
            Action::NextFinding => !app.editor.checker().findings().is_empty(),
            Action::RemoveArrangement | Action::NextArrangement | Action::LastArrangement => {
                app.editor.scene().arrangements.len() > 1
            }
            _ => true,
        }
    }

    /// Whether a switch is on; `None` for what is no switch.
    pub fn is_on(self, app: &App) -> Option<bool> {
        let o = &app.look;
        Some(match self {
            Action::Lead => app.look.ports,
            Action::Snap => app.editor.snapping.zones,
            Action::Carry => app.editor.snapping.carry,
            Action::Measure => app.editor.measuring().is_some(),
            Action::Front => o.front,
            Action::Shelf => o.shelf,
            Action::Details => o.details,
            Action::Findings => o.findings,
            Action::Labels => o.labels,
            Action::HiddenEdges => o.hidden_edges,
            Action::Grid => o.grid,
            Action::Contrast => o.contrast,
            _ => return None,
        })
    }

    /// Whether its key works while a text field has the focus. The field keeps
    /// letters and its own undo, redo and select-all.
    pub fn works_while_typing(self) -> bool {
        matches!(
            self,
            Action::New
                | Action::Open
                | Action::Save
                | Action::SaveAs
                | Action::Export
                | Action::Paper
                | Action::Quit
                | Action::Shelf
                | Action::Details
                | Action::Findings
                | Action::NextFinding
                | Action::Theme
                | Action::Contrast
                | Action::Help
        )
    }

    /// The words with the step that undo and redo name.
    pub fn words(self, app: &App) -> String {
        let step = match self {
            Action::Undo => app.editor.history().undo_label(),
            Action::Redo => app.editor.history().redo_label(),
            _ => None,
        };
        match step {
            Some(step) => format!("{}: {step}", self.text()),
            None => self.text().to_owned(),
        }
    }

    /// Carries it out.
    pub fn run(self, app: &mut App) {
        match self {
            Action::New => app.ask_new(),
            Action::Open => app.ask_open(),
            Action::Save => app.save(),
            Action::SaveAs => app.ask_save_as(),
            Action::Export => app.ask_export(),
            Action::Paper => app.ask_paper(),
            Action::Quit => app.quit = true,
            Action::Undo => {
                if let Some(step) = app.editor.undo() {
                    app.say(format!("Took back: {step}."));
                }
            }
            Action::Redo => {
                if let Some(step) = app.editor.redo() {
                    app.say(format!("Repeated: {step}."));
                }
            }
            Action::SelectAll => app.editor.select_all(),
            Action::Duplicate => _ = app.editor.duplicate(),
            Action::Delete => {
                if !app.editor.delete() {
                    app.say("Nothing was removed: the selected parts are locked.".to_owned());
                }
            }
            Action::TurnX => app.turn(Axis::X, 1),
            Action::TurnY => app.turn(Axis::Y, 1),
            Action::TurnZ => app.turn(Axis::Z, 1),
            Action::BackX => app.turn(Axis::X, -1),
            Action::BackY => app.turn(Axis::Y, -1),
            Action::BackZ => app.turn(Axis::Z, -1),
            Action::Lock => {
                let on = app.editor.any_selected(|p| !p.locked);
                app.editor.set_locked(on);
            }
            Action::Hide => {
                let on = app.editor.any_selected(|p| !p.hidden);
                app.editor.set_hidden(on);
            }
            Action::ShowAll => _ = app.editor.show_all(),
            Action::Fit => app.camera.fit(),
            Action::ZoomIn => app.camera.zoom(1.25, None),
            Action::ZoomOut => app.camera.zoom(0.8, None),
            Action::Lead => app.look.ports = !app.look.ports,
            Action::Plug => app.plug(false),
            Action::PlugAnew => app.plug(true),
            Action::FindWay => app.find_way(Task::Find),
            Action::NextWay => app.find_way(Task::Next),
            Action::FindAllWays => app.find_all_ways(),
            Action::StraightWay => app.straighten_way(),
            Action::Snap => app.editor.snapping.zones = !app.editor.snapping.zones,
            Action::Carry => app.editor.snapping.carry = !app.editor.snapping.carry,
            Action::Measure => app.editor.toggle_measuring(),
            Action::Front => {
                app.look.front = !app.look.front;
                app.camera.fit();
            }
            Action::Shelf => app.look.shelf = !app.look.shelf,
            Action::Details => app.look.details = !app.look.details,
            Action::Findings => app.look.findings = !app.look.findings,
            Action::NextFinding => app.next_finding(),
            Action::Branch => app.branch(),
            Action::RenameArrangement => {
                app.ask_arrangement_name(app.editor.scene().current);
            }
            Action::RemoveArrangement => {
                app.remove_arrangement(app.editor.scene().current);
            }
            Action::NextArrangement => app.step_arrangement(1),
            Action::LastArrangement => app.step_arrangement(-1),
            Action::Arrangements => app.show_tab(super::Tab::Arrangements),
            Action::Comparison => app.show_tab(super::Tab::Comparison),
            Action::Labels => app.look.labels = !app.look.labels,
            Action::HiddenEdges => app.look.hidden_edges = !app.look.hidden_edges,
            Action::Grid => app.look.grid = !app.look.grid,
            Action::Theme => app.look.dark = !app.look.dark,
            Action::Contrast => app.look.contrast = !app.look.contrast,
            Action::Help => app.ask_help(),
        }
    }
}

/// Direction and step of a nudging key: arrows move in the plane of the view under
/// the pointer, Page Up and Page Down along its depth. Plain 1 mm, with Shift
/// 10 mm, with Ctrl 0.1 mm.
pub fn nudge(key: Key, modifiers: Modifiers, view: crate::view::ViewKind) -> Option<(Dir, Length)> {
    let dir = match key {
        Key::ArrowRight => view.right(),
        Key::ArrowLeft => view.right().opposite(),
        Key::ArrowUp => view.up(),
        Key::ArrowDown => view.up().opposite(),
        Key::PageUp => view.eye(),
        Key::PageDown => view.eye().opposite(),
        _ => return None,
    };
    let step = match (modifiers.shift, modifiers.command) {
        (false, false) => Length::mm(1),
        (true, false) => Length::mm(10),
        (false, true) => Length::um(100),
        (true, true) => return None,
    };
    Some((dir, step))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_is_given_twice_and_every_action_has_a_tip() {
        for (i, a) in Action::ALL.iter().enumerate() {
            assert!(a.tip().len() > a.text().len(), "{a:?} has a thin tip");
            for b in &Action::ALL[i + 1..] {
                assert!(a.key().is_none() || a.key() != b.key(), "{a:?} and {b:?}");
            }
        }
    }

    #[test]
    fn nudging_follows_the_view() {
        use crate::view::ViewKind;
        let none = Modifiers::NONE;
        // The front of the enclosure is at the right of both depth views.
        assert_eq!(
            nudge(Key::ArrowRight, none, ViewKind::Top),
            Some((Dir::NegY, Length::mm(1)))
        );
        assert_eq!(
            nudge(Key::ArrowUp, Modifiers::SHIFT, ViewKind::Side),
            Some((Dir::PosZ, Length::mm(10)))
        );
        assert_eq!(
            nudge(Key::PageUp, Modifiers::COMMAND, ViewKind::Front),
            Some((Dir::NegY, Length::um(100)))
        );
        assert_eq!(nudge(Key::A, none, ViewKind::Top), None);
    }
}
