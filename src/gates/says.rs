//! What gates and signatures come to, in a sentence.

use super::decision::Decision;
use super::line::moment;
use super::signature::{Says, Signature};
use super::snapshot::GateSnapshot;
use crate::calc::gates::{Because, Light, Refused, Verdict, Wanted};
use crate::web::words;

/// Where a decision stands.
pub(super) struct Standing {
    /// "go", "hold", "no", or "open".
    pub mark: &'static str,
    /// In bold.
    pub says: String,
    pub beneath: String,
}

pub(super) fn standing(snapshot: &GateSnapshot, decision: Decision) -> Standing {
    let signed: Vec<&Signature> = snapshot.signed(decision).collect();
    let last = |says: &[Says]| signed.iter().rev().find(|one| says.contains(&one.says)).map(|one| by(snapshot, one));
    match snapshot.verdict(decision) {
        Verdict::Go => Standing { mark: "go", says: "Go.".to_owned(), beneath: goes(snapshot, &signed) },
        Verdict::No => Standing {
            mark: "no",
            says: "No burn.".to_owned(),
            beneath: last(&[Says::NoBurn, Says::Stop]).unwrap_or_default(),
        },
        Verdict::Hold(Because::Signed) => Standing {
            mark: "hold",
            says: "Hold.".to_owned(),
            beneath: format!("{} {}", last(&[Says::Hold]).unwrap_or_default(), obstacles(snapshot, decision)),
        },
        Verdict::Hold(Because::Gates(gates)) => Standing {
            mark: "hold",
            says: "Hold: a gate got worse after both signed go.".to_owned(),
            beneath: format!("{}. Both sign again once it is better.", names(snapshot, &gates)),
        },
        Verdict::Open { wants } => open(snapshot, decision, &wants),
    }
}

/// "Signed by Dele Aldous, safety officer, 9:52: gusts are falling."
fn by(snapshot: &GateSnapshot, one: &Signature) -> String {
    let word = if one.says == Says::Stop { "Stop called" } else { "Signed" };
    let reason = if one.reason.is_empty() { String::new() } else { format!(": {}", one.reason) };
    format!("{word} by {}, {}, {}{reason}.", one.name, one.role, moment(snapshot, one.at))
}

fn goes(snapshot: &GateSnapshot, signed: &[&Signature]) -> String {
    let start = signed.iter().rposition(|one| one.says != Says::Go).map_or(0, |at| at + 1);
    signed[start..].iter().map(|one| by(snapshot, one)).collect::<Vec<_>>().join(" ")
}

/// What speaks against go, the worst first.
fn obstacles(snapshot: &GateSnapshot, decision: Decision) -> String {
    let now = snapshot.gates_now(decision);
    let say = |is: fn(Light) -> bool, before: &str| {
        let gates: Vec<i64> = now.iter().filter(|gate| is(gate.light)).map(|gate| gate.id).collect();
        (!gates.is_empty()).then(|| format!("{before}: {}.", names(snapshot, &gates)))
    };
    let parts = [
        say(|light| light == Light::Red, "No burn by"),
        say(|light| light == Light::Amber { again: false }, "On hold by"),
        say(|light| light == Light::Amber { again: true }, "Read again and still on hold by"),
        say(|light| matches!(light, Light::Missing(_)), "Missing"),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
}

/// Up to four names, or three and how many more.
fn names(snapshot: &GateSnapshot, gates: &[i64]) -> String {
    let known = snapshot.gates.iter().filter(|gate| gates.contains(&gate.id));
    let names: Vec<&str> = known.map(|gate| gate.details.name.as_str()).collect();
    match names.len() {
        0..=4 => words::and(&names),
        count => format!("{}, and {} more", names[..3].join(", "), count - 3),
    }
}

fn open(snapshot: &GateSnapshot, decision: Decision, wants: &[Wanted]) -> Standing {
    let has = |is: fn(&Wanted) -> bool| wants.iter().any(is);
    let is_amber = snapshot.gates_now(decision).iter().any(|gate| matches!(gate.light, Light::Amber { .. }));
    let (mark, says) = if has(|one| matches!(one, Wanted::Better(_))) {
        ("no", "A gate says no burn.")
    } else if is_amber {
        ("hold", "A gate holds the burn. Read it again.")
    } else if has(|one| matches!(one, Wanted::Reading(_) | Wanted::Adoption(_))) {
        ("open", "Not decided: something is missing.")
    } else {
        ("open", "Every gate is good. Not signed yet.")
    };
    let who = wants.iter().filter_map(|one| match one {
        Wanted::SafetyOfficer { reason: false } => Some("the safety officer"),
        Wanted::SafetyOfficer { reason: true } => Some("the safety officer with a reason"),
        Wanted::BossOrCommander => Some("the burn boss or the incident commander"),
        _ => None,
    });
    let who: Vec<&str> = who.collect();
    let wanted = if who.is_empty() { String::new() } else { format!("Go still needs {}.", words::and(&who)) };
    Standing {
        mark,
        says: says.to_owned(),
        beneath: format!("{} {wanted}", obstacles(snapshot, decision)).trim().to_owned(),
    }
}

/// Why a signature was refused, and what to do.
pub(super) fn refused(snapshot: &GateSnapshot, refused: &Refused) -> String {
    let of = |gates: &[i64]| names(snapshot, gates);
    match refused {
        Refused::NotYourRole => {
            "Not signed: only the safety officer, the burn boss, and the incident commander sign.".to_owned()
        }
        Refused::Red(gates) => format!("Not signed. No burn by: {}.", of(gates)),
        Refused::Missing(gates) => format!("Not signed. Missing: {}. Read it, or adopt its limits.", of(gates)),
        Refused::NeedsReadAgain(gates) => format!("Not signed. On hold by: {}. Read it again first.", of(gates)),
        Refused::Changed(gates) => format!("Not signed. Changed since you looked: {}. Look again.", of(gates)),
        Refused::NeedsReason => {
            "Not signed. A gate still holds the burn: the safety officer writes why it may go anyway.".to_owned()
        }
        Refused::SamePerson => "Not signed: go takes two people, and you signed for the other side.".to_owned(),
        Refused::AlreadySignedByYou => "You signed that already, and it counts.".to_owned(),
    }
}
