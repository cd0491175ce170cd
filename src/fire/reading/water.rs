//! What the water check rests on, read.

use crate::calc::fire::room::Room;
use crate::calc::fire::{FOOT, water};
use crate::fire::choices::Hose;
use crate::fire::setup::Setup;
use crate::fire::typed::one_number;
use crate::web::form::Mistakes;

/// What the water check rests on, in US units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Water {
    pub k_factor: f64,
    pub head_psi: f64,
    pub tank: Option<f64>,
    pub unusable: f64,
    pub tank_minutes: f64,
    pub attack_gpm: f64,
    pub attack_supply: Option<f64>,
    pub backup_gpm: f64,
    pub backup_supply: Option<f64>,
    pub attack_minutes: f64,
    pub hose: Hose,
    pub hose_feet: f64,
    pub nozzle_psi: f64,
}

impl Water {
    /// What the sprinkler brings on the floor of a room.
    pub(super) fn density(&self, room: &Room) -> f64 {
        water::density(water::flow(self.k_factor, self.head_psi), room.floor_area() / (FOOT * FOOT))
    }
}

impl Setup {
    pub(super) fn read_water(&self, said: &mut Mistakes) -> Option<Water> {
        let k_factor = said.note("k_factor", one_number(&self.k_factor, 1.0, 30.0));
        let head_psi = said.note("head_psi", one_number(&self.head_psi, 1.0, 200.0));
        let mut optional = |name, text: &str| {
            if text.trim().is_empty() {
                Some(None)
            } else {
                said.note(name, one_number(text, 1.0, 100_000.0)).map(Some)
            }
        };
        let tank = optional("tank", &self.tank);
        let attack_supply = optional("attack_supply", &self.attack_supply);
        let backup_supply = optional("backup_supply", &self.backup_supply);
        let unusable = if self.unusable.trim().is_empty() {
            Some(0.0)
        } else {
            said.note("unusable", one_number(&self.unusable, 0.0, 10_000.0))
        };
        let tank_minutes = said.note("tank_minutes", one_number(&self.tank_minutes, 1.0, 60.0));
        let attack_gpm = said.note("attack_gpm", one_number(&self.attack_gpm, 10.0, 1_000.0));
        let backup_gpm = said.note("backup_gpm", one_number(&self.backup_gpm, 10.0, 1_000.0));
        let attack_minutes = said.note("attack_minutes", one_number(&self.attack_minutes, 1.0, 120.0));
        let hose = said.note("hose", self.hose.parse::<Hose>());
        let hose_length = said.note("hose_length", one_number(&self.hose_length, 25.0, 2_000.0));
        let nozzle_psi = said.note("nozzle_psi", one_number(&self.nozzle_psi, 20.0, 150.0));
        Some(Water {
            k_factor: k_factor?,
            head_psi: head_psi?,
            tank: tank?,
            unusable: unusable?,
            tank_minutes: tank_minutes?,
            attack_gpm: attack_gpm?,
            attack_supply: attack_supply?,
            backup_gpm: backup_gpm?,
            backup_supply: backup_supply?,
            attack_minutes: attack_minutes?,
            hose: hose?,
            hose_feet: hose_length?,
            nozzle_psi: nozzle_psi?,
        })
    }
}
