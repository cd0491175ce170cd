//! What distances rest on, read.

use crate::calc::fire::FOOT;
use crate::fire::setup::Setup;
use crate::fire::typed::one_number;
use crate::web::form::Mistakes;

/// What distances rest on, in meters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// kW/m² where the public stands.
    pub flux: f64,
    pub structure: f64,
    pub hose_depth: f64,
    pub permit: Option<f64>,
    pub own: Option<f64>,
}

impl Setup {
    pub(super) fn read_heat(&self, said: &mut Mistakes) -> Option<Heat> {
        let flux = said.note("flux", one_number(&self.flux, 0.5, 1.6));
        let meters = |feet: Result<f64, String>| feet.map(|feet| feet * FOOT);
        let structure = said.note("structure", meters(one_number(&self.structure, 6.0, 60.0)));
        let hose_depth = said.note("hose_depth", meters(one_number(&self.hose_depth, 0.0, 200.0)));
        let mut optional = |name, text: &str| {
            if text.trim().is_empty() {
                return Some(None);
            }
            said.note(name, meters(one_number(text, 1.0, 2_000.0))).map(Some)
        };
        let permit = optional("permit_distance", &self.permit_distance);
        let own = optional("own_distance", &self.own_distance);
        Some(Heat { flux: flux?, structure: structure?, hose_depth: hose_depth?, permit: permit?, own: own? })
    }
}
