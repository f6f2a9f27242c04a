//! Giving every device its plug: the command, and what it could not do.

use super::{App, Dialog, Tab};
use crate::route::assign::{Unfed, Why};

/// Ports named at most in the dialog.
const MOST: usize = 12;

impl App {
    /// Gives every device its plug; `anew` takes leads off first.
    pub(super) fn plug(&mut self, anew: bool) {
        let done = match anew {
            false => self.editor.plug_all(),
            true => self.editor.plug_anew(),
        };
        if done.changes() {
            self.look.tab = Tab::Cables;
        }
        self.say(done.words());
        let plan = &done.plan;
        if !plan.unfed.is_empty() || !plan.loose.is_empty() || !done.hoses.is_empty() {
            let mut text = String::new();
            self.list(&mut text, "No plug for:", &plan.unfed);
            self.list(&mut text, "Loose leads:", &plan.loose);
            if !done.hoses.is_empty() {
                let names = done.hoses.iter().map(|p| self.port_name(p));
                let names: Vec<String> = names.collect();
                text.push_str(&format!(
                    "Hoses are led by hand, from port to port; open are: {}.\n\n",
                    names.join("; ")
                ));
            }
            text.push_str(&done.words());
            self.dialog = Some(Dialog::Told("Some ports get no plug".to_owned(), text));
        }
    }

    fn why(&self, why: &Why) -> String {
        match why {
            Why::TooFar { source, by } => format!(
                "the nearest lead, to {}, is {} mm too short",
                self.port_name(source),
                by.text1()
            ),
            why => why.to_string(),
        }
    }

    fn list(&self, text: &mut String, heading: &str, ports: &[Unfed]) {
        if ports.is_empty() {
            return;
        }
        text.push_str(heading);
        text.push('\n');
        for unfed in ports.iter().take(MOST) {
            let name = self.port_name(&unfed.port);
            text.push_str(&format!("• {name}: {}\n", self.why(&unfed.why)));
        }
        if ports.len() > MOST {
            text.push_str(&format!("and {} more\n", ports.len() - MOST));
        }
        text.push('\n');
    }
}
