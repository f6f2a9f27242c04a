//! The one place where a role becomes a colour.
//!
//! Four palettes: light and dark, each also in high contrast. Every literal colour
//! of the program stands in `tables.rs`; the window's theme reads the same tables.
//!
//! What holds in each of them, checked by the tests: lettering and the marks that
//! carry figures have a contrast of at least 4.5 with the paper (7 in high
//! contrast), other marks at least 3 (4.5); lettering, findings and cables keep
//! their contrast on every tint; the tints of the systems differ from each other
//! for eyes without red or green receptors and, by lightness, in grey print.
//! Tints and the grid lie below these limits on purpose: they never carry a
//! meaning alone.

mod tables;
#[cfg(test)]
mod tests;

use super::list::{GridStep, Role, Tone};

/// A colour: sRGB with straight alpha.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Rgba {
    /// Red.
    pub r: u8,
    /// Green.
    pub g: u8,
    /// Blue.
    pub b: u8,
    /// Opacity, 255 for opaque.
    pub a: u8,
}

impl Rgba {
    /// The opaque colour `0xrrggbb`.
    pub const fn hex(rgb: u32) -> Self {
        let [_, r, g, b] = rgb.to_be_bytes();
        Self { r, g, b, a: 255 }
    }

    /// The same colour at another opacity.
    #[must_use]
    pub const fn with_alpha(self, a: u8) -> Self {
        Self { a, ..self }
    }

    /// The colour `part` of 256 of the way to another.
    const fn toward(self, other: Self, part: u16) -> Self {
        const fn channel(a: u8, b: u8, part: u16) -> u8 {
            ((a as u32 * (256 - part as u32) + b as u32 * part as u32) / 256) as u8
        }
        Self {
            r: channel(self.r, other.r, part),
            g: channel(self.g, other.g, part),
            b: channel(self.b, other.b, part),
            a: self.a,
        }
    }

    /// The colour `t` of the way to another (0 to 1), mixed channel by channel in
    /// sRGB: for surfaces of the window that no role names.
    #[must_use]
    pub fn mix(self, other: Self, t: f64) -> Self {
        let t = t.clamp(0.0, 1.0);
        let channel =
            |a: u8, b: u8| (f64::from(a) + (f64::from(b) - f64::from(a)) * t).round() as u8;
        Self {
            r: channel(self.r, other.r),
            g: channel(self.g, other.g),
            b: channel(self.b, other.b),
            a: channel(self.a, other.a),
        }
    }
}

/// How far the tones of a face go towards ink on light paper, of 256.
const SHADES: [u16; 8] = [0, 9, 19, 30, 42, 55, 68, 80];

/// Opacity of a washed area, of 255.
const WASH: u8 = 44;

/// A colour for every role.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// Name for menus and the command line.
    pub name: &'static str,
    /// Whether the paper is darker than the ink.
    pub dark: bool,
    /// Whether the stricter contrast limits hold.
    pub high_contrast: bool,
    table: &'static tables::Table,
}

impl Palette {
    /// Warm paper, dark ink.
    pub const LIGHT: Self = Self::new("light", false, false, &tables::LIGHT);
    /// Slate, pale ink.
    pub const DARK: Self = Self::new("dark", true, false, &tables::DARK);
    /// White paper, black ink.
    pub const LIGHT_HIGH_CONTRAST: Self = Self::new(
        "light, high contrast",
        false,
        true,
        &tables::LIGHT_HIGH_CONTRAST,
    );
    /// Black paper, white ink.
    pub const DARK_HIGH_CONTRAST: Self = Self::new(
        "dark, high contrast",
        true,
        true,
        &tables::DARK_HIGH_CONTRAST,
    );
    /// Every palette.
    pub const ALL: [Self; 4] = [
        Self::LIGHT,
        Self::DARK,
        Self::LIGHT_HIGH_CONTRAST,
        Self::DARK_HIGH_CONTRAST,
    ];

    const fn new(
        name: &'static str,
        dark: bool,
        high_contrast: bool,
        table: &'static tables::Table,
    ) -> Self {
        Self {
            name,
            dark,
            high_contrast,
            table,
        }
    }

    /// The palette for a choice of paper and contrast.
    pub const fn choose(dark: bool, high_contrast: bool) -> Self {
        match (dark, high_contrast) {
            (false, false) => Self::LIGHT,
            (true, false) => Self::DARK,
            (false, true) => Self::LIGHT_HIGH_CONTRAST,
            (true, true) => Self::DARK_HIGH_CONTRAST,
        }
    }

    /// The colour of a role; always opaque.
    pub const fn colour(&self, role: Role) -> Rgba {
        let t = self.table;
        match role {
            Role::Paper => t.paper,
            Role::Grid(GridStep::Mm1) => t.grid[0],
            Role::Grid(GridStep::Mm10) => t.grid[1],
            Role::Grid(GridStep::Mm100) => t.grid[2],
            Role::Ruler => t.ruler,
            Role::Wall => t.wall,
            Role::Opening => t.opening,
            Role::Vent => t.vent,
            Role::Passage => t.passage,
            Role::Tie => t.tie,
            Role::Zone => t.zone,
            Role::ZoneOpen => t.zone_open,
            Role::ZoneNo => t.zone_no,
            Role::Fill(system) => t.fill[system as usize],
            Role::Detail(system) => t.detail[system as usize],
            Role::Cable(system) => t.cable[system as usize],
            Role::Face(system, tone) => {
                let (fill, step) = (t.fill[system as usize], tone.step());
                // Dark tints have no room below them: there the light is added.
                if self.dark {
                    fill.toward(t.ink, 8 * (Tone::DARKEST - step) as u16)
                } else {
                    fill.toward(t.ink, SHADES[step as usize])
                }
            }
            Role::Ink => t.ink,
            Role::InkSoft => t.ink_soft,
            Role::Hidden => t.hidden,
            Role::Centre => t.centre,
            Role::Selected => t.selected,
            Role::Hover => t.hover,
            Role::Clash => t.clash,
            Role::Tight => t.tight,
            Role::Short => t.short,
            Role::Ghost => t.ghost,
            Role::Unheld => t.unheld,
            Role::Caution => t.caution,
            Role::Remark => t.remark,
            Role::Dimension => t.dimension,
            Role::Text => t.text,
            Role::TextSoft => t.text_soft,
            Role::Title => t.title,
            Role::Callout => t.callout,
        }
    }

    /// The colour of a washed area of a role: see-through.
    pub const fn wash(&self, role: Role) -> Rgba {
        self.colour(role).with_alpha(WASH)
    }
}
