//! A staffing proposal, compared with a plain Hungarian method over single seats, which does
//! only its first step.

mod ratio;

use burnday::calc::duties::{Duty, Hours};
use burnday::calc::staffing::{Answer, Held, Person, Post, Priority, propose};
use rand::rngs::SmallRng;
use rand::{RngExt, SeedableRng};
use std::hint::black_box;
use std::time::Instant;
use time::macros::{date, time};
use time::{Date, Duration, PrimitiveDateTime};

const BURN_DAY: Date = date!(2027 - 01 - 02);
const RAIN_DATE: Date = date!(2027 - 01 - 09);
const QUALIFICATIONS: u8 = 12;

/// A crew for both dates.
struct Crew {
    dates: [(Vec<Post>, Vec<Person>); 2],
}

fn main() {
    // Ten times the positions and people make a hundred times as many pairs to check.
    let small: Vec<Crew> = (0..8).map(|seed| crew(300, 60, seed)).collect();
    let large: Vec<Crew> = (0..4).map(|seed| crew(3000, 600, seed)).collect();
    let ours = |crews: &[Crew], round: usize| millis(|| solve(&crews[round % crews.len()]));
    let plain = |crews: &[Crew], round: usize| millis(|| hungarian(&crews[round % crews.len()]));
    let goal = 0.0..=1.0;
    ratio::compare("300 people, 60 posts: to Hungarian", "ms", &goal, 40, |n| plain(&small, n), |n| ours(&small, n));
    let growth = 0.0..=f64::INFINITY;
    ratio::compare("3000 people, 600 posts: to 300, 60", "ms", &growth, 8, |n| ours(&small, n), |n| ours(&large, n));
}

fn millis<T>(work: impl FnOnce() -> T) -> f64 {
    let at = Instant::now();
    black_box(work());
    at.elapsed().as_secs_f64() * 1e3
}

fn solve(crew: &Crew) -> usize {
    crew.dates.iter().map(|(posts, people)| propose(posts, people, Answer::NotAsked).seats.len()).sum()
}

/// Qualifications, hours, and answers like a department's: few people can run a pump, many
/// can park cars, and the rain date has fewer answers.
fn crew(people: usize, posts: usize, seed: u64) -> Crew {
    let mut random = SmallRng::seed_from_u64(seed);
    let kinds: Vec<(Duty, u32, i64, i64, Vec<i64>, Priority)> = (0..posts)
        .map(|_| {
            let duty = Duty::ALL[random.random_range(0..Duty::ALL.len())];
            let needs =
                if random.random_bool(0.6) { vec![random.random_range(0..QUALIFICATIONS).into()] } else { vec![] };
            let priority = if random.random_bool(0.4) { Priority::Critical } else { Priority::Usual };
            let from = random.random_range(7..13);
            (duty, random.random_range(1..=4), from, from + random.random_range(1..=6), needs, priority)
        })
        .collect();
    let holds: Vec<Vec<i64>> = (0..people)
        .map(|_| {
            let has = |q: &u8| random.random_bool(0.5 / (1.0 + f64::from(*q)));
            (0..QUALIFICATIONS).filter(has).map(i64::from).collect()
        })
        .collect();
    let last = i64::try_from(posts).expect("a few hundred") - 1;
    let date = |on: Date, random: &mut SmallRng, quiet: f64| {
        let at = |hour: i64| PrimitiveDateTime::new(on, time!(0:00)) + Duration::hours(hour);
        let posts: Vec<Post> = (0..)
            .zip(&kinds)
            .map(|(id, (duty, seats, from, until, needs, priority))| Post {
                id,
                duty: *duty,
                seats: *seats,
                hours: Hours::new(at(*from), at(*until)).expect("they end after they begin"),
                needs: needs.clone(),
                priority: *priority,
            })
            .collect();
        let people = (0..)
            .zip(&holds)
            .map(|(id, holds)| Person {
                id,
                holds: holds.iter().map(|q| Held { qualification: *q, is_expired: random.random_bool(0.05) }).collect(),
                there: random.random_bool(0.5).then(|| {
                    let from = random.random_range(6..12);
                    vec![Hours::new(at(from), at(from + random.random_range(4..=10))).expect("they end later")]
                }),
                day: said(random, quiet),
                posts: if random.random_bool(0.5) {
                    vec![(random.random_range(0..=last), said(random, quiet))]
                } else {
                    vec![]
                },
                at: vec![],
                fixed: vec![],
            })
            .collect();
        (posts, people)
    };
    Crew { dates: [date(BURN_DAY, &mut random, 0.2), date(RAIN_DATE, &mut random, 0.6)] }
}

fn said(random: &mut SmallRng, quiet: f64) -> Answer {
    if random.random_bool(quiet) {
        return Answer::NotAsked;
    }
    [Answer::Yes, Answer::Yes, Answer::Maybe, Answer::Waiting, Answer::No][random.random_range(0..5)]
}

/// The textbook assignment problem, over a table of single seats and people, with an extra
/// column for each seat that stays open.
fn hungarian(crew: &Crew) -> i64 {
    crew.dates.iter().map(|(posts, people)| least(&table(posts, people))).sum()
}

/// The cost of each person in each seat. A seat that stays open costs most.
fn table(posts: &[Post], people: &[Person]) -> Vec<Vec<i64>> {
    const OPEN: i64 = 1_000_000;
    let mut table = Vec::new();
    for post in posts {
        let cost = |person: &Person| {
            if !burnday::calc::staffing::bars(post, person, Answer::NotAsked).is_empty() {
                return OPEN * 10;
            }
            match person.answer_for(post.id) {
                Answer::Yes => 0,
                Answer::Maybe => 1,
                Answer::Waiting => 30,
                Answer::NotAsked | Answer::No => 900,
            }
        };
        let row: Vec<i64> = people.iter().map(cost).collect();
        table.extend((0..post.seats).map(|_| row.clone()));
    }
    let seats = table.len();
    for row in &mut table {
        row.extend(std::iter::repeat_n(OPEN, seats));
    }
    table
}

fn least(table: &[Vec<i64>]) -> i64 {
    let columns = table.first().map_or(0, Vec::len);
    let (mut of_row, mut of_column) = (vec![0; table.len() + 1], vec![0; columns + 1]);
    let (mut row_at, mut way) = (vec![0; columns + 1], vec![0; columns + 1]);
    for row in 1..=table.len() {
        row_at[0] = row;
        let mut column = 0;
        let (mut best, mut used) = (vec![i64::MAX; columns + 1], vec![false; columns + 1]);
        loop {
            used[column] = true;
            let (from, mut step, mut next) = (row_at[column], i64::MAX, 0);
            for other in 1..=columns {
                if used[other] {
                    continue;
                }
                let cost = table[from - 1][other - 1] - of_row[from] - of_column[other];
                if cost < best[other] {
                    (best[other], way[other]) = (cost, column);
                }
                if best[other] < step {
                    (step, next) = (best[other], other);
                }
            }
            for other in 0..=columns {
                if used[other] {
                    of_row[row_at[other]] += step;
                    of_column[other] -= step;
                } else {
                    best[other] = best[other].saturating_sub(step);
                }
            }
            column = next;
            if row_at[column] == 0 {
                break;
            }
        }
        while column != 0 {
            row_at[column] = row_at[way[column]];
            column = way[column];
        }
    }
    -of_column[0]
}
