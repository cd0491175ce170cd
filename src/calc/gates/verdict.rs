//! Who signed what, and what follows.

use super::light::{GateNow, Grade, Light, Why};

/// What somebody does on burn day, as far as it matters here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// Watches over safety and nothing else.
    SafetyOfficer,
    /// The instructor in charge of the fires.
    BurnBoss,
    /// In charge of the scene.
    IncidentCommander,
    /// Anybody else.
    Crew,
}

impl Role {
    /// May it sign go, hold, or no?
    pub(super) fn signs(self) -> bool {
        self != Self::Crew
    }

    /// The same side of the two that a go takes.
    pub(super) fn is_beside(self, other: Self) -> bool {
        (self == Self::SafetyOfficer) == (other == Self::SafetyOfficer)
    }
}

/// Who may call stop: everybody.
#[must_use]
pub fn may_stop(role: Role) -> bool {
    match role {
        Role::SafetyOfficer | Role::BurnBoss | Role::IncidentCommander | Role::Crew => true,
    }
}

/// What somebody signs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Says {
    /// Light it.
    Go,
    /// Wait.
    Hold,
    /// Not on this day, unless both sign go later.
    No,
}

/// What somebody signed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    /// The number of the person.
    pub by: i64,
    /// As what they signed.
    pub role: Role,
    /// What they signed.
    pub says: Says,
    /// When, seconds since 1970 in UTC.
    pub at: i64,
    /// They wrote a reason.
    pub reason: bool,
    /// What they saw: each gate, by its number, and its light.
    pub lights: Vec<(i64, Light)>,
}

/// Why the decision is a hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Because {
    /// Somebody signed hold.
    Signed,
    /// It was a go; then these gates, by number, got worse than what was signed.
    Gates(Vec<i64>),
}

/// What is still wanted for a go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wanted {
    /// This red gate has to get better.
    Better(i64),
    /// This gate has to be read.
    Reading(i64),
    /// The safety officer has to adopt the limits of this gate.
    Adoption(i64),
    /// This amber gate has to be read again.
    Again(i64),
    /// The safety officer's go.
    SafetyOfficer {
        /// With a written reason, because a gate is amber.
        reason: bool,
    },
    /// The go of the burn boss or the incident commander, somebody other than the safety officer.
    BossOrCommander,
}

/// The decision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    /// Light it.
    Go,
    /// Wait.
    Hold(Because),
    /// Not on this day.
    No,
    /// Nothing is decided.
    Open {
        /// What a go still takes, sorted.
        wants: Vec<Wanted>,
    },
}

/// The decision by the gates as they are now and everything that was signed for this day, in any
/// order.
///
/// ```
/// use burnday::calc::gates::{GateNow, Light, Role, Says, Signature, Verdict, Wanted, snapshot, verdict};
///
/// let gates = [GateNow { id: 1, light: Light::Good, turns: vec![] }];
/// let go = |by, role, at| Signature { by, role, says: Says::Go, at, reason: false, lights: snapshot(&gates) };
/// let boss = go(1, Role::BurnBoss, 100);
/// let wants = vec![Wanted::SafetyOfficer { reason: false }];
/// assert_eq!(verdict(&gates, &[boss.clone()]), Verdict::Open { wants });
/// assert_eq!(verdict(&gates, &[boss, go(2, Role::SafetyOfficer, 160)]), Verdict::Go);
/// ```
#[must_use]
pub fn verdict(gates: &[GateNow], signatures: &[Signature]) -> Verdict {
    let gos = gos(gates, signatures);
    let standing: Vec<&Both> = gos.iter().filter(|both| !is_stopped(signatures, both.from(), i64::MAX)).collect();
    let worse = standing.iter().map(|both| both.worse_now(gates)).min_by_key(|worse| (worse.len(), worse.clone()));
    if let Some(worse) = worse.filter(|worse| !worse.is_empty()) {
        return Verdict::Hold(Because::Gates(worse));
    }
    if standing.iter().any(|both| both.holds(gates)) {
        return Verdict::Go;
    }
    let remains = |says: Says| {
        let mut all = signatures.iter().filter(|one| one.says == says && one.role.signs());
        all.any(|stop| !gos.iter().any(|both| both.from() > stop.at))
    };
    if remains(Says::No) {
        Verdict::No
    } else if remains(Says::Hold) {
        Verdict::Hold(Because::Signed)
    } else {
        Verdict::Open { wants: wanted(gates, signatures) }
    }
}

/// What a go still takes, sorted; nothing if it is a go. It is what [`Verdict::Open`] says, also
/// for the way out of a hold or a no.
#[must_use]
pub fn wanted(gates: &[GateNow], signatures: &[Signature]) -> Vec<Wanted> {
    let is_standing = |both: &Both| !is_stopped(signatures, both.from(), i64::MAX) && both.holds(gates);
    if gos(gates, signatures).iter().any(is_standing) {
        return Vec::new();
    }
    let mut wants: Vec<Wanted> = gates.iter().filter_map(wanted_of).collect();
    let newest = |is_officer: bool| {
        let mut all: Vec<&Signature> = signatures.iter().filter(|one| counts(gates, signatures, one)).collect();
        all.retain(|one| (one.role == Role::SafetyOfficer) == is_officer);
        all.into_iter().max_by_key(|one| (one.at, one.by))
    };
    let (officer, other) = (newest(true), newest(false));
    // With one of each and still no go, the earlier was void when the later signed, or they are the
    // same person.
    let (officer_signs, other_signs) = match (officer, other) {
        (Some(officer), Some(other)) if officer.by == other.by => (false, true),
        (Some(officer), Some(other)) => (officer.at <= other.at, other.at <= officer.at),
        (officer, other) => (officer.is_none(), other.is_none()),
    };
    let is_amber = gates.iter().any(|gate| matches!(gate.light, Light::Amber { .. }));
    wants.extend(officer_signs.then_some(Wanted::SafetyOfficer { reason: is_amber }));
    wants.extend(other_signs.then_some(Wanted::BossOrCommander));
    wants.sort_unstable();
    wants.dedup();
    wants
}

fn wanted_of(gate: &GateNow) -> Option<Wanted> {
    match gate.light {
        Light::Good | Light::Amber { again: true } => None,
        Light::Amber { again: false } => Some(Wanted::Again(gate.id)),
        Light::Red => Some(Wanted::Better(gate.id)),
        Light::Missing(Why::NotAdopted) => Some(Wanted::Adoption(gate.id)),
        Light::Missing(Why::NoReading | Why::Stale) => Some(Wanted::Reading(gate.id)),
    }
}

/// Both signatures that a go takes, which were enough when the later was given.
struct Both<'a> {
    officer: &'a Signature,
    other: &'a Signature,
}

impl Both<'_> {
    fn from(&self) -> i64 {
        self.officer.at.min(self.other.at)
    }

    /// The gates that are worse now than what either of them saw.
    fn worse_now(&self, gates: &[GateNow]) -> Vec<i64> {
        let seen = [self.officer, self.other];
        let mut worse: Vec<i64> = gates
            .iter()
            .filter(|gate| seen.iter().any(|one| one.is_worse(gate.id, gate.light)))
            .map(|gate| gate.id)
            .collect();
        worse.sort_unstable();
        worse.dedup();
        worse
    }

    /// Nothing is or was worse than what they saw.
    fn holds(&self, gates: &[GateNow]) -> bool {
        let has_turned = |one: &Signature| one.has_turned(gates, i64::MAX);
        self.worse_now(gates).is_empty() && !has_turned(self.officer) && !has_turned(self.other)
    }

    /// Was it a go when the later was given? In the same second either may be the later.
    fn was_go(&self, gates: &[GateNow], signatures: &[Signature]) -> bool {
        let (officer, other) = (self.officer, self.other);
        let until = officer.at.max(other.at);
        let still_counts = |earlier: &Signature, later: &Signature| {
            earlier.at > later.at
                || !(later.lights.iter().any(|(gate, light)| earlier.is_worse(*gate, *light))
                    || earlier.has_turned(gates, until))
        };
        let is_allowed = officer.by != other.by && officer.allows_go() && other.allows_go();
        is_allowed
            && still_counts(officer, other)
            && still_counts(other, officer)
            && !is_stopped(signatures, self.from(), until)
    }
}

/// Every go there was, whatever came after it.
fn gos<'a>(gates: &[GateNow], signatures: &'a [Signature]) -> Vec<Both<'a>> {
    let officers = signatures.iter().filter(|one| one.role == Role::SafetyOfficer);
    let pairs = officers.flat_map(|officer| {
        let others = signatures.iter().filter(|one| matches!(one.role, Role::BurnBoss | Role::IncidentCommander));
        others.map(move |other| Both { officer, other })
    });
    pairs.filter(|both| both.was_go(gates, signatures)).collect()
}

/// Did somebody sign hold or no between these seconds?
fn is_stopped(signatures: &[Signature], from: i64, until: i64) -> bool {
    let stops = |one: &Signature| one.says != Says::Go && one.role.signs();
    signatures.iter().any(|one| stops(one) && (from..=until).contains(&one.at))
}

/// Would this go be enough now, with one of the other side?
pub(super) fn counts(gates: &[GateNow], signatures: &[Signature], one: &Signature) -> bool {
    one.role.signs()
        && one.allows_go()
        && !is_stopped(signatures, one.at, i64::MAX)
        && !gates.iter().any(|gate| one.is_worse(gate.id, gate.light))
        && !one.has_turned(gates, i64::MAX)
}

impl Signature {
    /// It says go, and what its signer saw allowed that.
    fn allows_go(&self) -> bool {
        let has_reason = self.reason || self.role != Role::SafetyOfficer;
        let allows = |light: Light| match light {
            Light::Good => true,
            Light::Amber { again } => again && has_reason,
            Light::Red | Light::Missing(_) => false,
        };
        self.says == Says::Go && self.lights.iter().all(|(_, light)| allows(*light))
    }

    /// Is this light worse than what the signer saw of the gate?
    pub(super) fn is_worse(&self, gate: i64, light: Light) -> bool {
        let grade = match light {
            // It was good as long as anyone knew.
            Light::Good | Light::Missing(Why::Stale) => Some(Grade::Good),
            Light::Amber { .. } => Some(Grade::Amber),
            Light::Red => Some(Grade::Red),
            Light::Missing(Why::NoReading | Why::NotAdopted) => None,
        };
        self.is_worse_grade(gate, grade)
    }

    fn is_worse_grade(&self, gate: i64, grade: Option<Grade>) -> bool {
        let mut seen = self.lights.iter().filter(|(id, _)| *id == gate).map(|(_, light)| *light).peekable();
        let covers = |seen: Light| match seen {
            Light::Good => grade == Some(Grade::Good),
            Light::Amber { .. } => grade.is_some_and(|grade| grade <= Grade::Amber),
            Light::Red | Light::Missing(_) => false,
        };
        seen.peek().is_none() || !seen.all(covers)
    }

    /// Has a reading since the signature, up to that second, been worse than what the signer saw?
    fn has_turned(&self, gates: &[GateNow], until: i64) -> bool {
        gates.iter().any(|gate| self.is_outdated_by(gate, until))
    }

    /// The same of one gate.
    pub(super) fn is_outdated_by(&self, gate: &GateNow, until: i64) -> bool {
        let since = |at: i64| (self.at..=until).contains(&at);
        gate.turns.iter().any(|turn| since(turn.at) && self.is_worse_grade(gate.id, turn.grade))
    }
}
