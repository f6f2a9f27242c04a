//! Opening the window, and saying in one sentence why it cannot be opened.

use super::{App, Recent};
use crate::model::{Catalogue, Scene, Settings};
use eframe::egui;
use std::path::PathBuf;
use std::sync::Arc;

/// What the window starts with.
pub struct Launch {
    /// Parts, cables, enclosures.
    pub catalogue: Arc<Catalogue>,
    /// Figures of the rules.
    pub settings: Arc<Settings>,
    /// The first scene.
    pub scene: Scene,
    /// Its file.
    pub path: Option<PathBuf>,
    /// Why another scene is shown than the one asked for: said in a dialog.
    pub trouble: Option<String>,
}

/// Runs the window until it is closed. An error is one sentence on why there is
/// no window; it holds no path of the machine that built the program.
pub fn run(launch: Launch) -> Result<(), String> {
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_app_id("closefit")
            .with_title("Closefit")
            .with_inner_size([1280.0, 720.0])
            .with_min_inner_size([900.0, 560.0])
            .with_icon(icon()),
        ..eframe::NativeOptions::default()
    };
    let result = eframe::run_native(
        "Closefit",
        options,
        Box::new(move |_cc| {
            let mut app = App::new(launch.catalogue, launch.settings, launch.scene, launch.path);
            app.shop_file = super::files::shop_file();
            let app = app.with_recent(Recent::load());
            let mut app = app.with_drafts(super::files::drafts_folder());
            if let Some(text) = launch.trouble {
                app.tell_trouble(text);
            }
            Ok(Box::new(app))
        }),
    );
    result.map_err(|e| {
        match e {
            eframe::Error::NoGlutinConfigs(..) | eframe::Error::Glutin(_) | eframe::Error::OpenGL(_) => {
                "there is no OpenGL to draw a window with (on Debian: the package libgl1)"
            }
            eframe::Error::WinitEventLoop(_) | eframe::Error::Winit(_) => {
                "there is no display to open a window on (DISPLAY and WAYLAND_DISPLAY are unset or dead, or a windowing library is missing)"
            }
            _ => "the window could not be opened",
        }
        .to_owned()
    })
}

/// The window's icon: two parts that just fit into an outline.
fn icon() -> egui::IconData {
    use crate::view::list::{Role, System};
    use crate::view::palette::Palette;
    let size = 64_u32;
    let palette = Palette::LIGHT;
    let pick = |x: u32, y: u32| {
        let edge = |v: u32, a: u32, b: u32| v >= a && v < b;
        let role = match (x, y) {
            _ if !(edge(x, 4, 60) && edge(y, 8, 56)) => return [0; 4],
            _ if !(edge(x, 8, 56) && edge(y, 12, 52)) => Role::Ink,
            _ if edge(x, 10, 36) && edge(y, 14, 50) => Role::Detail(System::Boards),
            _ if edge(x, 38, 54) && edge(y, 14, 50) => Role::Detail(System::Air),
            _ => Role::Paper,
        };
        let c = palette.colour(role);
        [c.r, c.g, c.b, 255]
    };
    let rgba = (0..size * size)
        .flat_map(|i| pick(i % size, i / size))
        .collect();
    egui::IconData {
        rgba,
        width: size,
        height: size,
    }
}
