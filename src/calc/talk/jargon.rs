//! Words to replace: trade words, words that frighten children, and promises.
//!
//! Common practice, no source. An entry lists its forms, each as one to five words; a hyphen, a
//! space, or nothing between them is all one. A form is found as whole words only.

/// Forms, and what to say instead.
type Entry = (&'static str, &'static str);

/// Words of the trade that a crowd doesn't know.
pub const PLAIN: &[Entry] = &[
    (
        "flashover, flashovers, flashed over, flashes over, flash over, flashing over",
        "the moment everything in the room catches fire",
    ),
    ("fully involved, full involvement", "the whole room is burning"),
    ("occupant, occupants", "person or family"),
    ("occupant load, occupant loads", "how many people may be inside"),
    ("victim, victims", "person"),
    ("egress, egresses", "way out"),
    ("ingress, entry, entries", "going in"),
    ("evacuate, evacuates, evacuated, evacuating", "get out"),
    ("evacuation, evacuations", "getting out"),
    ("activate, activates, activated, activating, activation, activations", "turn on"),
    ("actuate, actuates, actuated, actuating, actuation, actuations", "open"),
    ("discharge, discharges, discharged, discharging", "spray"),
    ("sprinkler head, sprinkler heads", "sprinkler"),
    ("fusible element, fusible elements, fusible link, fusible links", "the little glass tube that breaks with heat"),
    (
        "automatic fire sprinkler system, automatic fire sprinkler systems, automatic sprinkler system, automatic sprinkler systems",
        "home fire sprinklers",
    ),
    ("smoke detector, smoke detectors", "smoke alarm"),
    ("tenability, tenable, untenable", "whether people can stay alive in there"),
    ("products of combustion, product of combustion, combustion products", "smoke and gases"),
    ("thermal layer, thermal layers, thermal layering", "hot smoke sits at the top"),
    ("stratification, stratify, stratifies, stratified", "hot smoke sits at the top"),
    ("ventilation", "air getting in"),
    ("ventilation-limited, ventilation-controlled", "short of air"),
    ("ventilate, ventilates, ventilated, ventilating", "let air in"),
    ("combustible load, combustible loads, combustibles, fuel load, fuel loads, fuel loading", "things that can burn"),
    ("contents", "furniture and belongings"),
    ("ignition source, ignition sources, source of ignition, sources of ignition", "what started it"),
    ("origin, origins", "where it started"),
    ("suppression, knockdown, knockdowns, knocking down", "putting it out"),
    ("suppress, suppresses, suppressed, suppressing, knocked down", "put it out"),
    ("overhaul, overhauls, overhauled, overhauling", "checking for hidden fire"),
    ("extinguishment", "fire is out"),
    ("extinguish, extinguishes, extinguished, extinguishing", "put out"),
    ("apparatus, apparatuses", "fire engine or ladder truck"),
    ("personnel", "firefighters"),
    ("turnout gear, turnouts, bunker gear", "firefighter clothing"),
    ("gpm, gallons per minute", "gallons each minute"),
    ("psi, pounds per square inch", "water pressure"),
    ("attack line, attack lines", "the hose"),
    ("back-up line, back-up lines", "the second hose"),
    ("draft, drafts, drafted, drafting", "pulling water from a tank"),
    ("exposure, exposures", "things nearby that could catch fire"),
    (
        "compartmentation, compartmentalization, compartmentalize, compartmentalized",
        "closed doors hold back smoke and fire",
    ),
    ("residential occupancy, residential occupancies, occupancy, occupancies", "home"),
    ("retrofit, retrofits, retrofitted, retrofitting", "adding to an older home"),
    ("nuisance alarm, nuisance alarms", "alarm from cooking or steam"),
    ("interconnected, interconnect, interconnects, interconnection", "when one sounds, all sound"),
    ("mitigate, mitigates, mitigated, mitigating, mitigation", "make smaller, or prevent"),
    ("community risk reduction", "stopping fires and injuries before they happen"),
    ("evolution, evolutions", "one practice burn"),
    ("spectator, spectators", "people watching"),
    ("go/no-go", "whether we burn today"),
];

/// Abbreviations, which count only in capitals.
pub const ABBREVIATIONS: &[Entry] = &[
    ("PPE", "firefighter clothing"),
    ("SCBA", "air mask and tank"),
    ("RIT", "rescue team standing by"),
    ("RIC", "rescue team standing by"),
    ("IC", "the officer in charge"),
    ("AHJ", "the local authority"),
    ("CO", "carbon monoxide, a gas you cannot smell"),
];

const WHAT_TO_DO: &str = "say what to do: get out and stay out";
const HURT: &str = "say \"hurt\", or what to do";
const FIRE: &str = "say what the fire does: it gets hot and smoky";
const HELP: &str = "say who helps: firefighters come for you";

/// Words that frighten children in front.
pub const CALM: &[Entry] = &[
    ("die, dies, died, dying, death, deaths, dead, deadly, fatal, fatality, fatalities, perish, perished", WHAT_TO_DO),
    ("kill, kills, killed, killing, killer, lethal, murder, murders", WHAT_TO_DO),
    (
        "burned alive, burnt alive, burn alive, burning alive, burned to death, burnt to death, burn to death",
        WHAT_TO_DO,
    ),
    ("suffocate, suffocates, suffocated, suffocating, suffocation, choke, chokes, choked, choking", WHAT_TO_DO),
    ("body, bodies, corpse, corpses, casualty, casualties", "say \"people\""),
    ("blood, bloody, bleeding, gore, gory, agony, torture", HURT),
    ("scar, scars, scarred, disfigured, charred, mangled, skin melts, flesh", HURT),
    ("trapped, no escape, no way out, doomed, helpless, hopeless", HELP),
    ("scream, screams, screamed, screaming", "say what to call out: \"Fire! Get out!\""),
    (
        "horror, horrible, horrific, horrifying, terror, terrible, terrifying, nightmare, nightmares, monster, monsters, hell, beast, demon, devil",
        FIRE,
    ),
    ("explode, explodes, exploded, exploding, explosion, explosions, blow up, blows up, blew up, inferno", FIRE),
    ("toxic, poison, poisons, poisoned, poisonous, poisoning", "say \"smoke is bad to breathe\""),
    ("orphan, orphans, orphaned, lost everything, lose everything", HELP),
];

const WHERE_PEOPLE_ARE: &str = "say where people are: behind the safety officer's line";

/// More than anyone can promise beside a fire.
pub const HONEST: &[Entry] = &[
    ("safe, safely", WHERE_PEOPLE_ARE),
    ("no danger, not dangerous, not in danger, harmless, no risk, risk-free, without risk", WHERE_PEOPLE_ARE),
    ("nothing can happen, nothing will happen, nothing can go wrong, nothing will go wrong", WHERE_PEOPLE_ARE),
    ("nobody can get hurt, no one can get hurt, nobody will get hurt, no one will get hurt", WHERE_PEOPLE_ARE),
    ("you can't get hurt, you won't get hurt", WHERE_PEOPLE_ARE),
    ("don't worry, do not worry, no need to worry, nothing to worry about", WHERE_PEOPLE_ARE),
    ("guarantee, guarantees, guaranteed", WHERE_PEOPLE_ARE),
];

#[cfg(test)]
mod tests;
