//! What somebody may sign, and why not.

use super::light::{GateNow, Light};
use super::verdict::{Role, Says, Signature, Wanted, counts, wanted};

/// Why somebody can't sign this. Gates are by number, sorted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// Only the safety officer, the burn boss, and the incident commander sign. Anybody can call
    /// stop.
    NotYourRole,
    /// These gates are red.
    Red(Vec<i64>),
    /// Nobody knows how these gates are.
    Missing(Vec<i64>),
    /// These gates are amber and have to be read again.
    NeedsReadAgain(Vec<i64>),
    /// These gates aren't as good as what the signer was looking at, or weren't good enough there.
    /// Look again.
    Changed(Vec<i64>),
    /// A gate is amber: the safety officer writes a reason.
    NeedsReason,
    /// This person's go already counts for the other of the two. It takes two people.
    SamePerson,
    /// This person has signed that already, and it still counts.
    AlreadySignedByYou,
}

/// May this be signed, with the gates as they are now and what has been signed so far? The press
/// is the signature that would be kept, with the lights its signer was looking at.
///
/// A go that may be signed counts, unless somebody signs hold or no in the same second.
///
/// ```
/// use burnday::calc::gates::{GateNow, Light, Refused, Role, Says, Signature, may_sign, snapshot};
///
/// let gates = [GateNow { id: 4, light: Light::Amber { again: true }, turns: vec![] }];
/// let role = Role::SafetyOfficer;
/// let press = Signature { by: 1, role, says: Says::Go, at: 100, reason: false, lights: snapshot(&gates) };
/// assert_eq!(may_sign(&press, &gates, &[]), Err(Refused::NeedsReason));
/// assert_eq!(may_sign(&Signature { reason: true, ..press }, &gates, &[]), Ok(()));
/// ```
pub fn may_sign(press: &Signature, gates: &[GateNow], signatures: &[Signature]) -> Result<(), Refused> {
    if !press.role.signs() {
        return Err(Refused::NotYourRole);
    }
    if press.says == Says::Go { may_go(press, gates, signatures) } else { may_stop_with(press, signatures) }
}

fn may_go(press: &Signature, gates: &[GateNow], signatures: &[Signature]) -> Result<(), Refused> {
    let those = |is: &dyn Fn(&GateNow) -> bool| sorted(gates.iter().filter(|gate| is(gate)).map(|gate| gate.id));
    let seen_badly = press.lights.iter().filter(|(_, light)| !is_enough(*light)).map(|(id, _)| *id);
    let is_worse = |gate: &&GateNow| press.is_worse(gate.id, gate.light) || press.is_outdated_by(gate, i64::MAX);
    let worse = gates.iter().filter(is_worse).map(|gate| gate.id);
    none(those(&|gate| gate.light == Light::Red), Refused::Red)?;
    none(those(&|gate| matches!(gate.light, Light::Missing(_))), Refused::Missing)?;
    none(those(&|gate| gate.light == Light::Amber { again: false }), Refused::NeedsReadAgain)?;
    none(sorted(seen_badly.chain(worse)), Refused::Changed)?;
    let mine = |one: &&Signature| one.by == press.by && counts(gates, signatures, one);
    if signatures.iter().filter(mine).any(|one| !one.role.is_beside(press.role)) {
        return Err(Refused::SamePerson);
    }
    if signatures.iter().any(|one| mine(&one)) && !is_wanted(press.role, &wanted(gates, signatures)) {
        return Err(Refused::AlreadySignedByYou);
    }
    let is_amber = press.lights.iter().any(|(_, light)| matches!(light, Light::Amber { .. }));
    if press.role == Role::SafetyOfficer && is_amber && !press.reason {
        return Err(Refused::NeedsReason);
    }
    Ok(())
}

/// Refuses only what was signed last anyway.
fn may_stop_with(press: &Signature, signatures: &[Signature]) -> Result<(), Refused> {
    let last = signatures.iter().filter(|one| one.role.signs()).map(|one| one.at).max();
    let is_same = |one: &Signature| one.by == press.by && one.says == press.says && one.role.signs();
    if signatures.iter().any(|one| Some(one.at) == last && is_same(one)) {
        return Err(Refused::AlreadySignedByYou);
    }
    Ok(())
}

fn is_enough(light: Light) -> bool {
    matches!(light, Light::Good | Light::Amber { again: true })
}

fn is_wanted(role: Role, wants: &[Wanted]) -> bool {
    wants.iter().any(|one| match one {
        Wanted::SafetyOfficer { .. } => role == Role::SafetyOfficer,
        Wanted::BossOrCommander => matches!(role, Role::BurnBoss | Role::IncidentCommander),
        _ => false,
    })
}

fn sorted(gates: impl Iterator<Item = i64>) -> Vec<i64> {
    let mut gates: Vec<i64> = gates.collect();
    gates.sort_unstable();
    gates.dedup();
    gates
}

fn none(gates: Vec<i64>, refused: impl Fn(Vec<i64>) -> Refused) -> Result<(), Refused> {
    if gates.is_empty() { Ok(()) } else { Err(refused(gates)) }
}
