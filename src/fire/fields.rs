//! The fields of what an estimate rests on, by name: for the form, for two versions side by
//! side, and for the history.

use super::setup::Setup;
use serde_json::Value as Json;

/// A field of the form: its name, its label, and what it holds.
pub(super) type Field = (&'static str, &'static str, fn(&Setup) -> &String);

macro_rules! fields {
    ($($name:ident: $label:literal),+ $(,)?) => {
        [$((stringify!($name), $label, (|setup| &setup.$name) as fn(&Setup) -> &String)),+]
    };
}

pub(super) const FIELDS: [Field; 35] = fields! {
    name: "Name",
    length: "Length",
    width: "Width",
    height: "Height",
    front_width: "Width of the open front",
    front_height: "Height of the open front",
    panel: "Clear panel, from the top down",
    walls: "Walls and ceiling",
    ceiling: "Ceiling",
    place: "The fire starts",
    surface: "Height of the fire above the floor",
    air: "Air, °F",
    rating: "Rating, °F",
    head_distance: "Head to fire",
    rti: "RTI",
    conductance: "Conductance (C)",
    k_factor: "K-factor",
    head_psi: "Pressure at the head, psi",
    alarm: "Smoke alarm",
    alarm_distance: "Alarm to fire",
    flux: "Heat where the public watches, kW/m²",
    structure: "Height of the structure, ft",
    hose_depth: "Room for hose lines, ft",
    permit_distance: "Distance in a permit, ft",
    own_distance: "Your own rule, ft",
    tank: "Sprinkler tank, gal",
    unusable: "Can't be drawn, gal",
    tank_minutes: "Minutes of water",
    attack_gpm: "Attack line, gpm",
    attack_supply: "Attack line's supply, gal",
    backup_gpm: "Backup line, gpm",
    backup_supply: "Backup line's own supply, gal",
    attack_minutes: "Minutes of attack",
    hose_length: "Hose length, ft",
    nozzle_psi: "Nozzle pressure, psi",
};

/// A new setup as the history shows it: what isn't usual about it.
pub(super) fn new_in_history(setup: &Setup) -> Json {
    let usual = in_history(&Setup::default());
    let mut all = in_history(setup);
    if let Some(fields) = all.as_object_mut() {
        fields.retain(|label, value| usual.get(label) != Some(value));
    }
    all
}

/// A setup as the history compares it.
pub(super) fn in_history(setup: &Setup) -> Json {
    let fields = FIELDS.into_iter().map(|(_, label, of)| (label, of(setup).clone()));
    let lists = [
        ("Items", &setup.kind),
        ("Catch after", &setup.delay),
        ("Peak heat", &setup.peak),
        ("Time to peak", &setup.rise),
    ];
    let lists = lists.into_iter().map(|(label, all)| (label, all.join("; ")));
    let all = fields.chain([("Hose", setup.hose.clone())]).chain(lists);
    all.map(|(label, value)| (label.to_owned(), Json::String(value))).collect::<serde_json::Map<_, _>>().into()
}
