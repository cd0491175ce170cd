//! The rules a second time: what people did is played second by second, as somebody with a pencil
//! would. It shares nothing with the code but the types.

use super::*;
use std::collections::{BTreeMap, BTreeSet};

/// Good, amber, red, or unknown.
fn color(light: Light) -> u8 {
    match light {
        Light::Good | Light::Missing(Why::Stale) => 0,
        Light::Amber { .. } => 1,
        Light::Red => 2,
        Light::Missing(Why::NoReading | Why::NotAdopted) => 3,
    }
}

fn turned(turn: &Turn) -> u8 {
    match turn.grade {
        Some(Grade::Good) => 0,
        Some(Grade::Amber) => 1,
        Some(Grade::Red) => 2,
        None => 3,
    }
}

/// A go on the sheet.
#[derive(Clone)]
struct Mark {
    by: i64,
    is_officer: bool,
    saw: BTreeMap<i64, u8>,
    is_struck: bool,
}

impl Mark {
    /// None if it shouldn't have been signed.
    fn of(signature: &Signature) -> Option<Self> {
        let is_officer = match signature.role {
            Role::SafetyOfficer => true,
            Role::BurnBoss | Role::IncidentCommander => false,
            Role::Crew => return None,
        };
        let mut saw = BTreeMap::new();
        for (gate, light) in &signature.lights {
            match light {
                Light::Good => saw.insert(*gate, 0),
                Light::Amber { again: true } if !is_officer || signature.reason => saw.insert(*gate, 1),
                _ => return None,
            };
        }
        Some(Self { by: signature.by, is_officer, saw, is_struck: false })
    }

    fn is_beaten(&self, gate: i64, color: u8) -> bool {
        self.saw.get(&gate).is_none_or(|saw| color > *saw)
    }

    fn is_beaten_by(&self, other: &Self) -> bool {
        other.saw.iter().any(|(gate, color)| self.is_beaten(*gate, *color))
    }

    fn goes_with(&self, other: &Self) -> bool {
        self.is_officer != other.is_officer && self.by != other.by
    }
}

#[derive(Default)]
struct Sheet {
    stopped: Option<Says>,
    marks: Vec<Mark>,
    /// Places of two marks.
    gos: Vec<(usize, usize)>,
}

impl Sheet {
    fn stop(&mut self, says: Says) {
        self.marks.clear();
        self.gos.clear();
        if self.stopped != Some(Says::No) {
            self.stopped = Some(says);
        }
    }

    fn read(&mut self, gate: i64, color: u8, from: usize) {
        for mark in &mut self.marks[from..] {
            mark.is_struck |= mark.is_beaten(gate, color);
        }
    }

    /// New marks from there on: whoever signed before them, or in the same second, goes with them.
    fn pair(&mut self, from: usize, struck_now: &[bool]) {
        for new in from..self.marks.len() {
            for old in 0..new {
                let (one, other) = (&self.marks[old], &self.marks[new]);
                let is_same_second = old >= from;
                let beaten = one.is_beaten_by(other) || (is_same_second && other.is_beaten_by(one));
                let struck =
                    if is_same_second { struck_now[old - from] || struck_now[new - from] } else { one.is_struck };
                if one.goes_with(other) && !beaten && !struck {
                    self.gos.push((old, new));
                    self.stopped = None;
                }
            }
        }
    }

    fn second(&mut self, at: i64, gates: &[GateNow], signatures: &[Signature]) {
        let now: Vec<&Signature> = signatures.iter().filter(|one| one.at == at && one.role != Role::Crew).collect();
        let is_stopped = now.iter().any(|one| one.says != Says::Go);
        for says in [Says::Hold, Says::No] {
            if now.iter().any(|one| one.says == says) {
                self.stop(says);
            }
        }
        let readings: Vec<(i64, u8)> = gates
            .iter()
            .flat_map(|gate| gate.turns.iter().filter(|turn| turn.at == at).map(|turn| (gate.id, turned(turn))))
            .collect();
        for (gate, color) in &readings {
            self.read(*gate, *color, 0);
        }
        if is_stopped {
            return;
        }
        let from = self.marks.len();
        self.marks.extend(now.into_iter().filter(|one| one.says == Says::Go).filter_map(Mark::of));
        for (gate, color) in &readings {
            self.read(*gate, *color, from);
        }
        let struck_now: Vec<bool> = self.marks[from..].iter().map(|mark| mark.is_struck).collect();
        self.pair(from, &struck_now);
    }

    fn verdict(&self, gates: &[GateNow]) -> &'static str {
        let worse = |mark: &Mark| -> BTreeSet<i64> {
            gates.iter().filter(|gate| mark.is_beaten(gate.id, color(gate.light))).map(|gate| gate.id).collect()
        };
        let gos: Vec<[&Mark; 2]> =
            self.gos.iter().map(|(one, other)| [&self.marks[*one], &self.marks[*other]]).collect();
        let fits = |go: &[&Mark; 2]| go.iter().all(|mark| worse(mark).is_empty());
        if gos.iter().any(|go| fits(go) && !go.iter().any(|mark| mark.is_struck)) {
            "go"
        } else if gos.iter().any(fits) {
            "open"
        } else if !gos.is_empty() {
            "hold for gates"
        } else {
            match self.stopped {
                Some(Says::No) => "no",
                Some(_) => "hold signed",
                None => "open",
            }
        }
    }
}

/// The decision, in a word.
pub fn replayed(gates: &[GateNow], signatures: &[Signature]) -> &'static str {
    let mut seconds: BTreeSet<i64> = signatures.iter().map(|one| one.at).collect();
    seconds.extend(gates.iter().flat_map(|gate| gate.turns.iter().map(|turn| turn.at)));
    let mut sheet = Sheet::default();
    for at in seconds {
        sheet.second(at, gates, signatures);
    }
    sheet.verdict(gates)
}

/// Ours, in the same words.
pub fn word(verdict: &Verdict) -> &'static str {
    match verdict {
        Verdict::Go => "go",
        Verdict::Hold(Because::Signed) => "hold signed",
        Verdict::Hold(Because::Gates(_)) => "hold for gates",
        Verdict::No => "no",
        Verdict::Open { .. } => "open",
    }
}
