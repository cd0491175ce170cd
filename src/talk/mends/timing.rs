//! Lines that don't fit the fires.

use super::mend::{Mend, at, quoted};
use crate::calc::talk::{Fitted, Mark, Part};
use crate::fire::Fires;
use crate::talk::parts::is_unused;
use crate::talk::says::{LONG_SILENCE, burning, lasts, mark, name, of_hundred, share};
use crate::talk::snapshot::TalkSnapshot;
use crate::web::words::{self, capital};

pub(super) fn timing(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let mut all = Vec::new();
    let over = snapshot.seconds(Part::Before) - snapshot.before_ignition();
    if over > 0.5 && snapshot.seconds(Part::Before) > 0.0 {
        all.push(Mend {
            grade: "wrong",
            what: "before",
            title: format!("Before lighting, the talk is {} too long", lasts(over)),
            beneath: "It begins when the program ends. Shorten either, or start the fire later.".to_owned(),
            href: "#part-before".to_owned(),
        });
    }
    let Fitted { lines, sections } = &snapshot.fitted;
    for (timed, fit) in snapshot.lines.iter().zip(lines).filter(|(_, fit)| fit.comes > 0 && !fit.fits()) {
        let by = fit.cut_by.map_or("the next key moment", mark);
        all.push(Mend {
            grade: "wrong",
            what: "cut",
            title: format!("{} may be cut off", quoted(timed)),
            beneath: format!(
                "You finish it before {by} in {} of the fires in which its moment comes. Shorten it or what comes before \
                 it, or move it.",
                of_hundred(fit.share().unwrap_or_default())
            ),
            href: at(timed),
        });
    }
    let longest = sections.iter().filter_map(|section| Some((section, section.silence?.half)));
    if let Some((section, half)) =
        longest.max_by(|one, other| one.1.total_cmp(&other.1)).filter(|(_, half)| *half >= LONG_SILENCE)
    {
        let by = section.ended_by.map_or("the next key moment", mark);
        all.push(Mend {
            grade: "look",
            what: "silence",
            title: format!("Longest silence: {} before {by}", lasts(half)),
            beneath: "That long or longer in half of the fires in which it comes. Have more lines ready, and say where to look.".to_owned(),
            href: format!("#part-{}", section.part),
        });
    }
    let missing: Vec<String> = Part::BRANCHES
        .into_iter()
        .filter(|part| snapshot.of_part(*part).next().is_none())
        .map(|part| name(part, snapshot.event.details.format).trim_start_matches("If ").to_owned())
        .collect();
    if !missing.is_empty() && !snapshot.lines.is_empty() {
        all.push(Mend {
            grade: "look",
            what: "branches",
            title: format!("Nothing to say in {}", words::count(missing.len(), "case", "cases")),
            beneath: format!("{}.", capital(&missing.join("; "))),
            href: "#branches".to_owned(),
        });
    }
    if let Some(unused) = Part::ALL.into_iter().find(|part| is_unused(snapshot, *part)) {
        all.push(Mend {
            grade: "look",
            what: "unused",
            title: format!("Some lines have no place {}", burning(snapshot.event.details.format)),
            beneath:
                "They are kept, and not spoken. Read the other lines again, too: they may speak of the other order."
                    .to_owned(),
            href: format!("#unused-{}", unused.as_str()),
        });
    }
    all.extend(nevers(snapshot));
    all
}

/// Key moments that don't come in many of the plan's fires.
fn nevers(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let Some(Fires { times, until, .. }) = snapshot.fires() else { return Vec::new() };
    let moments = [
        (Mark::Alarm, "The alarm doesn't sound", Part::AlarmNever),
        (Mark::Sprinkler, "The sprinkler doesn't open", Part::SprinklerNever),
        (Mark::Flashover, "Flashover doesn't come", Part::FlashoverNever),
    ];
    let never = |(moment, what, part): (Mark, &str, Part)| {
        let never = snapshot.turns(moment).map_or(times.len(), |turns| turns.never);
        let is_all = never == times.len();
        (never * 10 >= times.len()).then(|| Mend {
            grade: if is_all { "wrong" } else { "look" },
            what: if is_all { "always never" } else { "never" },
            title: format!("{what} in {} simulated fires", of_hundred(share(never, times.len()))),
            beneath: format!(
                "Not within {} of lighting. Talk to the burn boss about the plan, and practice what you say then.",
                lasts(*until)
            ),
            href: format!("#part-{part}"),
        })
    };
    moments.into_iter().filter_map(never).collect()
}
