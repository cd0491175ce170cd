//! The demo's site: a fairground lot with a grass bank. All of it is invented. One row can't
//! see, one speaker is beside a pump, and the press is under the smoke.

use crate::calc::site::Kind;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::site::{self, Basis, Drawn, Plan};
use anyhow::anyhow;
use time::macros::time;
use time::{Duration, OffsetDateTime};

/// Something at a place in feet.
fn spot(kind: Kind, name: &str, (x, y): (f64, f64)) -> Drawn {
    Drawn { name: name.to_owned(), ..Drawn::usual(0, kind, (feet(x), feet(y))) }
}

/// An outline or a path in feet.
fn along(kind: Kind, name: &str, at: &[(f64, f64)]) -> Drawn {
    let at = at.iter().map(|(x, y)| (feet(*x), feet(*y))).collect();
    Drawn { name: name.to_owned(), at, ..Drawn::usual(0, kind, (30.0, 30.0)) }
}

fn feet(feet: f64) -> f64 {
    (feet * 3_048.0).round() / 10_000.0
}

fn drawn() -> Vec<Drawn> {
    let raised = |drawn: Drawn| Drawn { height: feet(3.0), ..drawn };
    let wide = |drawn: Drawn, width: f64| Drawn { width: feet(width), ..drawn };
    vec![
        raised(spot(Kind::RoomA, "", (112.0, 40.0))),
        raised(spot(Kind::RoomB, "", (134.0, 40.0))),
        along(Kind::Crowd, "", &[(58.0, 177.0), (192.0, 177.0), (202.0, 219.0), (48.0, 219.0)]),
        along(Kind::Press, "", &[(242.0, 145.0), (262.0, 145.0), (262.0, 160.0), (242.0, 160.0)]),
        wide(spot(Kind::Gate, "West gate", (52.0, 237.0)), 12.0),
        wide(spot(Kind::Gate, "East gate", (204.0, 237.0)), 12.0),
        Drawn { count: 6, width: feet(24.0), ..spot(Kind::Wheelchair, "", (140.0, 181.0)) },
        spot(Kind::Interpreter, "", (117.0, 179.0)),
        Drawn { level: 100.0, ..spot(Kind::Speaker, "Speaker left", (66.0, 157.0)) },
        Drawn { level: 100.0, ..spot(Kind::Speaker, "Speaker right", (182.0, 157.0)) },
        spot(Kind::Pump, "Pump 1", (52.0, 148.0)),
        Drawn { turn: 90.0, ..spot(Kind::Engine, "Engine 1", (44.0, 58.0)) },
        Drawn { turn: 90.0, ..spot(Kind::Engine, "Engine 2", (44.0, 82.0)) },
        along(Kind::Hose, "Attack line", &[(60.0, 58.0), (84.0, 66.0), (106.0, 58.0)]),
        along(Kind::Hose, "Backup line", &[(60.0, 82.0), (92.0, 80.0), (112.0, 62.0)]),
        spot(Kind::Hydrant, "", (30.0, 26.0)),
        spot(Kind::Tank, "Tank for room B", (158.0, 30.0)),
        spot(Kind::Command, "", (44.0, 34.0)),
        Drawn { turn: 90.0, ..spot(Kind::Ambulance, "", (40.0, 104.0)) },
        along(Kind::FireLane, "", &[(12.0, 0.0), (12.0, 250.0)]),
        along(Kind::Escort, "", &[(242.0, 150.0), (196.0, 122.0), (152.0, 112.0)]),
        spot(Kind::LostChild, "", (124.0, 239.0)),
        spot(Kind::Quiet, "", (36.0, 198.0)),
        Drawn { count: 5, ..spot(Kind::Toilets, "", (166.0, 239.0)) },
        along(Kind::Road, "Fairground Road", &[(0.0, 268.0), (276.0, 268.0)]),
    ]
}

pub(super) async fn fill(tx: &mut Tx, account: i64, event: &Event, now: OffsetDateTime) -> Result<()> {
    let today = event.today(now);
    let at = event.details.zone.instant(today - Duration::days(4), time!(9:20)).unwrap_or(now).min(now);
    let mut plan = Plan::default();
    for drawn in drawn() {
        plan.add(drawn);
    }
    plan.basis = Basis {
        crowd_line: "130 ft".to_owned(),
        wind_from: "270".to_owned(),
        wind_speed: "7".to_owned(),
        rise: "9.6".to_owned(),
        watched: "18 in".to_owned(),
        murmur: "58".to_owned(),
        receivers: "14".to_owned(),
        ..Basis::default()
    };
    let done = site::change(tx, Actor::Account(account), event.id, at, |drawn, _| {
        *drawn = plan;
        Ok("Drawing begun".to_owned())
    });
    done.await?.map_err(|why| anyhow!("{why:?}").into()).map(|_| ())
}
