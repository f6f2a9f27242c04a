//! The systems of a computer, by which parts and cables are tinted.

/// The system of a part or a cable.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum System {
    /// Plates, brackets, trays, anything that only holds.
    Structure,
    /// Boards and cards.
    Boards,
    /// Storage drives.
    Drives,
    /// Fans, ducts, filters.
    Air,
    /// Supplies and power leads.
    Power,
    /// Data leads and what they end in.
    Data,
    /// Pumps, hoses, reservoirs.
    Liquid,
    /// Heat sinks and radiators.
    Cooling,
}

impl System {
    /// Every system, in the order of declaration.
    pub const ALL: [Self; 8] = [
        Self::Structure,
        Self::Boards,
        Self::Drives,
        Self::Air,
        Self::Power,
        Self::Data,
        Self::Liquid,
        Self::Cooling,
    ];

    /// Lower-case name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Structure => "structure",
            Self::Boards => "boards",
            Self::Drives => "drives",
            Self::Air => "air",
            Self::Power => "power",
            Self::Data => "data",
            Self::Liquid => "liquid",
            Self::Cooling => "cooling",
        }
    }
}
