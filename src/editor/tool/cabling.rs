//! Drawing a cable from port to port.

use super::{Event, Target, Tool};
use crate::editor::Editor;
use crate::editor::snap::Pointer;
use crate::model::PortRef;

/// A cable being drawn.
#[derive(Clone, Debug)]
pub struct Cabling {
    /// The port it starts from.
    pub from: PortRef,
    /// Where its loose end is.
    pub pointer: Pointer,
    /// The port under the pointer.
    pub over: Option<PortRef>,
    /// What joining them would use, or why it cannot be.
    pub verdict: Option<Result<String, String>>,
}

impl Cabling {
    pub(super) fn new(from: PortRef, pointer: Pointer) -> Cabling {
        Cabling {
            from,
            pointer,
            over: None,
            verdict: None,
        }
    }

    pub(super) fn hint(&self) -> String {
        match &self.verdict {
            Some(Ok(name)) => format!("Release to join them with: {name}."),
            Some(Err(why)) => format!("{why}."),
            None => "Drag to the port at the other end; Escape gives up.".to_owned(),
        }
    }
}

impl Editor {
    pub(super) fn cabling(&mut self, mut c: Cabling, event: Event) -> Tool {
        match event {
            Event::Move {
                pointer, target, ..
            } => {
                let over = match target {
                    Target::Port(port) if port != c.from => Some(port),
                    _ => None,
                };
                c.pointer = pointer;
                if over != c.over {
                    c.verdict = over.as_ref().map(|to| {
                        let choices = self.choices(&c.from, to)?;
                        Ok(choices.first().map_or(String::new(), |x| x.name.clone()))
                    });
                    c.over = over;
                }
                Tool::Cabling(c)
            }
            Event::Release => {
                if let Some(to) = &c.over {
                    // A refusal was shown while the pointer was over the port.
                    let _ = self.join(&c.from, to);
                } else {
                    self.select([c.from.part]);
                }
                Tool::Idle
            }
            _ => Tool::Cabling(c),
        }
    }

    /// The ports that could take the cable being drawn.
    pub fn open_ports(&self) -> Vec<PortRef> {
        let Tool::Cabling(c) = &self.tool else {
            return Vec::new();
        };
        let mut open = Vec::new();
        for (id, part) in &self.scene().parts {
            for port in &part.kind.ports {
                let at = PortRef {
                    part: id.clone(),
                    port: port.id.clone(),
                };
                if self.choices(&c.from, &at).is_ok() {
                    open.push(at);
                }
            }
        }
        open
    }
}
