//! The talk that an event begins with, in our own words, for both formats.
//!
//! Order and content are common practice, no source: children first, one idea at a time, and
//! what to do rather than what to fear. Each department checks it and changes it as it likes.

use super::{Looks, Objective, TalkLine};
use crate::calc::talk::{Audience, Part};
use crate::events::Format;

/// What people know or can do afterward, as in [`Objective`].
struct Taught {
    text: &'static str,
    message: &'static str,
    /// Empty until the department names one.
    source: &'static str,
    edition: &'static str,
    item: &'static str,
}

/// One thing that is said, as in [`TalkLine`].
struct Line {
    audience: Audience,
    looks: Looks,
    /// Which of [`OBJECTIVES`] it teaches.
    objective: Option<usize>,
    words: &'static str,
}

/// Who says all of it.
const SPEAKER: &str = "presenter";

const ALARM: usize = 0;
const WAY_OUT: usize = 1;
const DOOR: usize = 2;
const SPRINKLER: usize = 3;

// NFPA 72 has an alarm's ten years, and NFPA 13D a sprinkler that heat opens, and its design:
// from memory. A test each month, escape plans, and doors are common practice, no source.
const OBJECTIVES: [Taught; 4] = [
    Taught {
        text: "People have working smoke alarms, and go out when one sounds.",
        message: "When a smoke alarm sounds, get out and stay out. Replace an alarm when it is ten years old.",
        source: "NFPA 72, National Fire Alarm and Signaling Code",
        edition: "2022 edition",
        item: "How old may a smoke alarm get before you replace it? (a) Any age, if it beeps in a test (b) 20 years \
               (c) 10 years",
    },
    Taught {
        text: "Families know two ways out and a meeting place, and practice.",
        message: "Know two ways out of each room, pick a meeting place outside, and practice twice a year.",
        source: "",
        edition: "",
        item: "How often should a family practice its way out of the home? (a) Once, after moving in \
               (b) Twice a year (c) Never, if everyone knows the doors",
    },
    Taught {
        text: "Families close bedroom doors at night.",
        message: "Close bedroom doors at night. A closed door holds back smoke and fire.",
        source: "",
        edition: "",
        item: "How should you leave a bedroom door at night? (a) Closed, to hold back smoke and fire \
               (b) Open a little, to let in air (c) Wide open, to hear the smoke alarm",
    },
    Taught {
        text: "People know that heat, not smoke, opens a home fire sprinkler, and that each one opens alone.",
        message: "Heat, not smoke, opens a home fire sprinkler. Each one opens alone, and the water comes on its own.",
        source: "NFPA 13D, Standard for the Installation of Sprinkler Systems in One- and Two-Family Dwellings and \
                 Manufactured Homes",
        edition: "2022 edition",
        item: "What opens a home fire sprinkler? (a) Smoke anywhere in the home (b) Heat at that sprinkler \
               (c) An alarm that opens all of them at once",
    },
];

/// Lines, and the part they are spoken in.
type Group = (Part, &'static [Line]);

macro_rules! lines {
    ($($audience:ident $looks:ident $([$objective:ident])? $words:literal)*) => {
        &[$(Line {
            audience: Audience::$audience,
            looks: Looks::$looks,
            objective: lines!(@ $($objective)?),
            words: $words,
        }),*]
    };
    (@) => { None };
    (@ $objective:ident) => { Some($objective) };
}

const WELCOME: &[Line] = lines! {
    All Presenter "Hello, and welcome. We are so glad you came."
    All Presenter "You are behind the safety officer's line. Please stay there with us. If you need a break, \
        step back. That is fine."
    All Presenter "It will be loud. You will see and smell a lot of smoke. Our firefighters planned for that."
    All BothRooms "Here are two rooms. They have the same furniture. Room B has a sprinkler. Room A has none."
};

const ONE_FIRST: &[Line] = lines! {
    All BothRooms "We will light Room A first. Then we will talk. Then we will light Room B."
};

const SIDE_BY_SIDE: &[Line] = lines! {
    All BothRooms "We will light both rooms at the same time. Watch them side by side."
};

const LESSONS: &[Line] = lines! {
    Children Presenter [ALARM] "Children, this part is yours. The smoke alarm beeps. What do we do? Say it with \
        me. Get out and stay out."
    Children Presenter [WAY_OUT] "Your room needs two ways out. One is the door. What else could you use? Look \
        for it tonight."
    Children Presenter [WAY_OUT] "Then meet at one place outside. It could be a big tree. Where is yours?"
    Children Presenter [DOOR] "Hold your hands up like an open door. Now close it. Close your bedroom door \
        each night."
    Children Presenter "Firefighters in masks are helpers. They look and sound odd. If you see one, go to them. \
        Do not hide."
    Adults Presenter "Now the grown-ups. How long would you have to get out? Raise your hand for more than two \
        minutes. Keep your guess and watch the clock."
    Adults Presenter [ALARM] "Press the test button on each smoke alarm once a month. If an alarm is ten years \
        old, put in a new one."
    Adults Presenter [DOOR] "Close the bedroom doors at night. A closed door holds back smoke and fire."
    Adults RoomB [SPRINKLER] "Room B has a home fire sprinkler. Heat opens it, not smoke. Each sprinkler opens \
        alone, so only the ones that get hot will spray."
};

const RIG: &[Line] = lines! {
    Adults RoomB [SPRINKLER] "Ours is one sprinkler on a hose. In a real home, professionals design the whole \
        system."
};

const A_IS_LIT: &[Line] = lines! { All RoomA "Room A is lit. Watch the smoke." };
const B_IS_LIT: &[Line] = lines! { All RoomB "Room B is lit. Watch the smoke." };
const BOTH_ARE_LIT: &[Line] = lines! { All BothRooms "Both rooms are lit. Watch the smoke." };
const LISTEN: &[Line] = lines! { All Anywhere "Raise your hand when you hear the alarm." };
const BEEP: &[Line] = lines! { Children Anywhere [ALARM] "Hear it? What do we do? Get out and stay out." };
const BEDTIME: &[Line] = lines! { Children Presenter [DOOR] "What do we close at bedtime? The bedroom door." };

const LEAVE: &[Line] = lines! {
    Adults Clock [ALARM] "Look at the clock. At home, this is when you go. Don't stop for a phone or a coat. \
        Close the door behind you."
};

const SMOKE: &[Line] = lines! {
    Children Smoke "If you see smoke, get low. Crawl to your way out. Then go."
    Children Smoke [WAY_OUT] "Is there smoke in your way? Use your other way out. You have two."
    Adults Smoke "Look how low the smoke is. Hot smoke sits at the top, and then it moves down. That is why we \
        get low and go."
    Children Anywhere [WAY_OUT] "Where do you meet outside? Say it out loud. Go there and wait."
};

const AS_IT_GROWS: &[Line] = lines! {
    Children Anywhere "Now call for help. Call from outside. Who do we call? Nine, one, one."
    Adults Clock [ALARM] "No one can tell how much time is left. So go at the first beep, each time."
    Adults Smoke [DOOR] "Think of a bedroom down the hall. A closed door would help hold this smoke back."
};

const FLASHOVER: &[Line] = lines! {
    All RoomA "Look. All of Room A caught fire at once."
    Adults RoomA "This is the moment everything in the room catches fire. It began with one small flame."
    All Clock "Look at the clock."
};

const OTHER_ROOM: &[Line] = lines! { All RoomB "Now look at Room B." };

const BREATH: &[Line] = lines! {
    All Presenter "Now take a deep breath. That was loud and hot. You did well."
    Children Presenter [ALARM] "Let's try it one more time. The alarm beeps. What do we do? Get out and stay out."
};

const B_IS_NEXT: &[Line] = lines! {
    Adults RoomB [SPRINKLER] "Next is Room B. It has the same furniture and the same start. The one change is the \
        sprinkler. Heat will open it, not smoke."
    All RoomB "You will hear the beep. Then watch for the water."
    All Presenter "Please stay behind the line. The burn boss decides when we start."
};

const WATER: &[Line] = lines! {
    All RoomB [SPRINKLER] "Look at Room B. The water came on its own."
    Children RoomB [SPRINKLER] "Did smoke open it? No. Did heat open it? Yes."
    Adults RoomB [SPRINKLER] "One sprinkler opened. In a home, the others stay closed unless heat gets to them."
    Adults Clock "Look at the clock. Then look at the furniture. What do you still see?"
    All Anywhere [ALARM] "We still get out. A sprinkler gives us more time to do it."
};

const NO_WATER: &[Line] = lines! { All RoomA "Now look at Room A. It has no sprinkler. Where is the smoke now?" };

const LOOK_BACK: &[Line] = lines! {
    All Presenter "The crew is still at work. Please stay behind the line with us."
    Adults BothRooms [SPRINKLER] "Look at both rooms. They had the same furniture and the same start. The one \
        change was the sprinkler."
    Adults Presenter "Think of your guess. How long did Room A take? Talk about that at home tonight."
    Adults Presenter [SPRINKLER] "Heat opens a sprinkler. Smoke from toast does not. Ask for home fire \
        sprinklers when you build or buy."
};

const AT_HOME: &[Line] = lines! {
    Adults Presenter [ALARM] "Here is your job tonight. Press the test button on each smoke alarm. Then do it \
        each month."
    Adults Presenter [WAY_OUT] "Find two ways out of each room. Pick a meeting place. Practice with the whole \
        family twice a year."
    Adults Presenter [DOOR] "Close the bedroom doors before you go to sleep. It costs nothing."
    Children Presenter [ALARM] "Children, say it back to me. The alarm beeps. What do we do? Get out and stay \
        out."
    Children Presenter [WAY_OUT] "How many ways out do you need? Two. Where do you go then? To your meeting \
        place."
    Children Presenter "Who do we call? Nine, one, one. Where do we call from? From outside."
};

const THANKS: &[Line] = lines! {
    All Presenter "Thank you all for coming. Let's give our crew a hand."
    Adults Presenter "Do you have a survey card with a number? Please fill in the second half. Then hand it to a \
        volunteer."
    Adults Presenter "Please take a card home. You can call us and ask for a home visit."
};

macro_rules! branches {
    ($($part:ident { $($lines:tt)* })*) => { &[$((Part::$part, lines! { $($lines)* })),*] };
}

/// What to say when the fire does something else, or is stopped, in both formats.
const BRANCHES: &[Group] = branches! {
    AlarmEarly { All Clock "That was quick. Smoke moves fast. Look at the clock." }
    AlarmLate { All Smoke "Still quiet. Real fires don't keep a schedule. Watch the smoke." }
    AlarmNever {
        All Smoke [ALARM] "The alarm did not sound. If you see smoke at home, go. Don't wait for a beep."
    }
    SprinklerEarly { All Clock "That was quick. Heat got to the sprinkler fast. Look at the clock." }
    SprinklerLate {
        All RoomB [SPRINKLER] "No water yet. The heat has to get to the sprinkler. Keep your eyes on Room B."
    }
    SprinklerNever {
        All Presenter "The sprinkler did not open. We don't know why yet."
        All Presenter "The crew takes over now. The burn boss decides what we do next."
    }
    FlashoverEarly { All Clock "That was fast. A fire can grow more quickly than we think. Look at the clock." }
    FlashoverLate {
        All Smoke "This fire is slow today. Look at the smoke. At home, you should be outside by now."
    }
    FlashoverNever {
        All RoomA "Not all of Room A caught fire. No two fires are the same. The burn boss decides what we do next."
    }
    Stopped { All Presenter "We have stopped. Please stay where you are and listen to the crew." }
};

/// The talk when one room burns after the other.
const ONE_AT_A_TIME: &[Group] = &[
    (Part::Before, WELCOME),
    (Part::Before, ONE_FIRST),
    (Part::Before, LESSONS),
    (Part::Before, RIG),
    (Part::Lit, A_IS_LIT),
    (Part::Lit, LISTEN),
    (Part::Alarm, BEEP),
    (Part::Alarm, LEAVE),
    (Part::Alarm, SMOKE),
    (Part::Alarm, AS_IT_GROWS),
    (Part::Flashover, FLASHOVER),
    (Part::Between, BREATH),
    (Part::Between, BEDTIME),
    (Part::Between, B_IS_NEXT),
    (Part::LitB, B_IS_LIT),
    (Part::LitB, LISTEN),
    (Part::AlarmB, BEEP),
    (Part::Sprinkler, WATER),
    (Part::After, LOOK_BACK),
    (Part::After, RIG),
    (Part::After, AT_HOME),
    (Part::After, BEDTIME),
    (Part::After, THANKS),
];

/// The talk when both rooms burn at once.
const BOTH_AT_ONCE: &[Group] = &[
    (Part::Before, WELCOME),
    (Part::Before, SIDE_BY_SIDE),
    (Part::Before, LESSONS),
    (Part::Before, RIG),
    (Part::Lit, BOTH_ARE_LIT),
    (Part::Lit, LISTEN),
    (Part::Alarm, BEEP),
    (Part::Sprinkler, WATER),
    (Part::Sprinkler, NO_WATER),
    (Part::Sprinkler, SMOKE),
    (Part::Flashover, FLASHOVER),
    (Part::Flashover, OTHER_ROOM),
    (Part::After, LOOK_BACK),
    (Part::After, RIG),
    (Part::After, AT_HOME),
    (Part::After, BEDTIME),
    (Part::After, THANKS),
];

/// The lesson's objectives.
pub(super) fn objectives() -> Vec<Objective> {
    let text = str::to_owned;
    let objective = |one: &Taught| Objective {
        text: text(one.text),
        message: text(one.message),
        source: text(one.source),
        edition: text(one.edition),
        item: text(one.item),
        ..Objective::default()
    };
    OBJECTIVES.iter().map(objective).collect()
}

/// The lines for a format, each with the place of the objective that it teaches.
pub(super) fn lines(format: Format) -> Vec<(TalkLine, Option<usize>)> {
    let talk = if format == Format::BothAtOnce { BOTH_AT_ONCE } else { ONE_AT_A_TIME };
    let line = |part: Part, line: &Line| TalkLine {
        id: 0,
        part,
        audience: line.audience,
        speaker: SPEAKER.to_owned(),
        looks: line.looks,
        words: line.words.to_owned(),
        objective: None,
        version: 0,
    };
    let all = talk.iter().chain(BRANCHES);
    all.flat_map(|(part, lines)| lines.iter().map(|one| (line(*part, one), one.objective))).collect()
}
