//! The size of both rooms, and where things stand in them.

/// The inside of both rooms, in meters, and what is cut for them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    pub width: f64,
    pub depth: f64,
    pub height: f64,
    /// The curtain rods above the floor.
    pub rod: f64,
    /// How far the clear panels reach down from the top of the front; 0 without panels.
    pub panels: f64,
    /// Spare sheets, in percent.
    pub spare: u32,
    pub version: i64,
}

/// Where an item stands in its room, in meters and degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    pub x: f64,
    pub y: f64,
    /// Its underside above the floor.
    pub above: f64,
    pub turn: f64,
    pub version: i64,
}

/// A built part as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Built {
    pub place: Place,
    /// How a clear panel is held; empty if nobody said.
    pub held: String,
    pub is_built: bool,
}
