//! A whole app on a temporary folder with a clock that stands still, and
//! browsers for the people in it.

mod authority;
mod browser;
mod held_writer;
pub mod post;
mod relay;
pub mod routes;

pub use authority::Authority;
pub use browser::{Answer, Browser, Filled};
pub use held_writer::HeldWriter;
pub use post::Posted;
pub use relay::{Heard, Relay, Reply, Taken, Tls};

use argon2::Argon2;
use argon2::password_hash::PasswordHasher;
use axum::Router;
use burnday::accounts::{self, Department, Purpose, Role};
use burnday::asks;
use burnday::calc::homes::Home;
use burnday::clock::Clock;
use burnday::config::{Cli, Config};
use burnday::countdown;
use burnday::db::Db;
use burnday::db::journal::Actor;
use burnday::events::{self, Details, Format, VisitorFacts, Weekdays};
use burnday::gifts;
use burnday::guests::{self, Level, Side};
use burnday::people;
use burnday::photos;
use burnday::rooms;
use burnday::server;
use burnday::state::App;
use burnday::web::link::Opens;
use burnday::zone::Zone;
use clap::Parser;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection};
use std::path::Path;
use std::sync::{LazyLock, OnceLock};
use tempfile::TempDir;
use time::macros::{date, datetime, time};
use time::{Date, OffsetDateTime, Weekday};
use tokio::runtime::Runtime;

/// Wed 25 Nov 2026, 09:00 in Chicago.
pub const NOW: OffsetDateTime = datetime!(2026-11-25 15:00 UTC);
/// Far enough for the usual plan.
pub const BURN_ON: Date = date!(2027 - 06 - 05);
pub const OFFICER: &str = "olga@example.org";
pub const PASSWORD: &str = "four quiet grey herons";
/// The hash of that password, made once: hashing is slow on purpose.
static HASH: LazyLock<String> =
    LazyLock::new(|| Argon2::default().hash_password(PASSWORD.as_bytes()).unwrap().to_string());

/// A store in which nothing is but its tables. They are made once: it takes longer than
/// most tests.
static EMPTY: LazyLock<Vec<u8>> = LazyLock::new(|| {
    // No test waits within another's runtime.
    std::thread::spawn(|| Runtime::new().unwrap().block_on(empty_store())).join().unwrap()
});

async fn empty_store() -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(burnday::db::FILE);
    let mut connection = SqliteConnectOptions::new().filename(&path).create_if_missing(true).connect().await.unwrap();
    sqlx::migrate!().run(&mut connection).await.unwrap();
    connection.close().await.unwrap();
    std::fs::read(&path).unwrap()
}

pub struct TestApp {
    pub app: App,
    pub folder: TempDir,
    /// Of this app, for all its browsers: making it takes longer than most pages.
    router: OnceLock<Router>,
}

impl TestApp {
    /// Not set up yet.
    pub async fn empty() -> Self {
        Self::with(&[]).await
    }

    pub async fn with(flags: &[&str]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join(burnday::db::FILE), EMPTY.as_slice()).unwrap();
        let app = open(folder.path(), flags).await;
        Self::of(app, folder)
    }

    pub fn of(app: App, folder: TempDir) -> Self {
        Self { app, folder, router: OnceLock::new() }
    }

    /// Changes the app; browsers from now on see that.
    pub fn change(&mut self, change: impl FnOnce(&mut App)) {
        change(&mut self.app);
        self.router = OnceLock::new();
    }

    /// Ends the app, and gives its folder.
    pub async fn close(self) -> TempDir {
        self.app.db.close().await;
        self.folder
    }

    /// Set up with Olga, the education officer.
    pub async fn set_up() -> Self {
        let test = Self::empty().await;
        set_up(&test.app).await;
        test
    }

    /// Set up, with an event of 92 tasks, whose number is 1.
    pub async fn planned() -> Self {
        let test = Self::set_up().await;
        plan(&test.app).await;
        test
    }

    /// The same with Wren, who is asked question 1, is guest 1 and promises gift 1.
    pub async fn asked() -> Self {
        let test = Self::planned().await;
        let wren = test.person("Wren Ibarra", "wren@example.org").await;
        test.ask(&[wren], &["burn day"]).await;
        test.photo([200, 60, 20]).await;
        test.gift(wren, "folding chairs", gifts::GiftStatus::Promised).await;
        test.guest(wren, guests::Details::of(Side::Official, Level::Local)).await;
        test.lamp(wren).await;
        test
    }

    /// Lists a lamp for room A, thing 1, and asks somebody for one for room B.
    async fn lamp(&self, person_id: i64) {
        let lamp = rooms::Details::of(rooms::Room::A, rooms::Kind::Furnishing, "floor lamp");
        let add = self.app.db.write(move |tx| {
            Box::pin(async move {
                let id = rooms::add(tx, Actor::Account(1), 1, &lamp, NOW).await?;
                let (what, thing_id) = (lamp.what.clone(), Some(id));
                let donation = rooms::NewDonationRequest { person_id, thing_id, is_like: true, what, quantity: 1 };
                rooms::add_donation_request(tx, 1, 1, (&donation, None), NOW).await
            })
        });
        add.await.unwrap();
    }

    /// Keeps a photo of one color, and gives its number.
    pub async fn photo(&self, color: [u8; 3]) -> i64 {
        let taken = photos::take(&self.app, picture(color)).await.unwrap().unwrap();
        let keep = self
            .app
            .db
            .write(move |tx| Box::pin(async move { photos::keep(tx, &taken, Actor::Account(1), NOW).await }));
        keep.await.unwrap()
    }

    /// Adds a gift in kind, and gives its number.
    pub async fn gift(&self, person_id: i64, what: &str, status: gifts::GiftStatus) -> i64 {
        let credit = gifts::Credit {
            recognition: gifts::Recognition::Open,
            credited_as: String::new(),
            agreed_by: String::new(),
            agreed_on: None,
            logo: String::new(),
        };
        let what = gifts::What::Goods { description: what.to_owned(), quantity: "40".to_owned(), value: None };
        let draft = gifts::Details {
            person_id,
            in_name: gifts::InName::Person,
            what,
            promised_on: date!(2026 - 11 - 20),
            promised_by: None,
            status,
            returned: gifts::Returned::Nothing,
            credit,
            notes: String::new(),
        };
        let add = self
            .app
            .db
            .write(move |tx| Box::pin(async move { gifts::add(tx, Actor::Account(1), 1, &draft, NOW).await }));
        add.await.unwrap()
    }

    /// A browser of nobody.
    pub fn stranger(&self) -> Browser {
        Browser::of(self.router.get_or_init(|| server::router(self.app.clone())).clone())
    }

    /// A browser in which Olga is signed in.
    pub async fn olga(&self) -> Browser {
        self.enter(OFFICER).await
    }

    /// A browser in which somebody with that role is signed in, who gets an
    /// account if there is none.
    pub async fn somebody(&self, role: Role) -> Browser {
        let mail = format!("{}@example.org", role.as_str().replace(' ', "-"));
        let name = format!("Somebody, {role}");
        let invited = mail.clone();
        let known = accounts::find_by_mail(self.app.db.read(), &mail).await.unwrap();
        if known.is_none() {
            self.app
                .db
                .write(move |tx| {
                    Box::pin(async move { accounts::invite(tx, Actor::System, &name, &invited, role, NOW).await })
                })
                .await
                .unwrap()
                .unwrap();
        }
        self.enter(&mail).await
    }

    async fn enter(&self, mail: &str) -> Browser {
        let link = self.link(mail, Purpose::Demo).await;
        let mut browser = self.stranger();
        assert_eq!(browser.post(&link, &[]).await.status, 303);
        browser
    }

    /// The path of a new link for an account.
    pub async fn link(&self, mail: &str, purpose: Purpose) -> String {
        let account = accounts::find_by_mail(self.app.db.read(), mail).await.unwrap().unwrap();
        let now = self.app.clock.now();
        let made = self.app.db.write(move |tx| {
            Box::pin(async move { accounts::make_link(tx, Actor::System, &account, purpose, now).await })
        });
        format!("{}/{}", purpose.path(), made.await.unwrap().reveal())
    }

    /// Adds somebody, and gives their number.
    pub async fn person(&self, name: &str, mail: &str) -> i64 {
        let mut details = people::Details::of_name(name);
        details.mail = mail.to_owned();
        let add = self
            .app
            .db
            .write(move |tx| Box::pin(async move { people::add(tx, Actor::Account(1), &details, NOW).await }));
        add.await.unwrap()
    }

    /// Puts somebody on the list of guests, and gives their number there.
    pub async fn guest(&self, person: i64, details: guests::Details) -> i64 {
        let add = self.app.db.write(move |tx| {
            Box::pin(async move {
                let guest = guests::NewGuest { event_id: 1, person_id: person, name: "A guest", details: &details };
                guests::add(tx, Actor::Account(1), &guest, NOW).await
            })
        });
        add.await.unwrap().unwrap()
    }

    /// Has Olga ask people for a post on these dates, and gives the numbers of
    /// the questions.
    pub async fn ask(&self, people: &[i64], dates: &[&str]) -> Vec<i64> {
        let mut form = self.olga().await.get("/events/1/replies/new?kind=post").await.form();
        form = form.with("question", "Can you walk the spectator line on burn day?").with("bring", "Boots");
        form = form.without("date");
        for date in dates {
            form = form.and("date", date);
        }
        for person in people {
            form = form.and("person", &person.to_string());
        }
        let answer = self.olga().await.submit("/events/1/replies/new", &form.and("act", "ask")).await;
        assert_eq!(answer.status, 303, "{}", answer.body);
        let mut db = self.app.db.read().acquire().await.unwrap();
        let all = asks::of_event(&mut db, 1).await.unwrap();
        let of = |person: &i64| all.iter().rfind(|request| request.person_id == *person).unwrap().id;
        people.iter().map(of).collect()
    }

    /// Where the emailed link of a question leads.
    pub fn answer_path(&self, request: i64) -> String {
        format!("/answer/{}", self.app.link_key.secret(Opens::Question, request, 1).reveal())
    }

    pub fn at(&self, now: OffsetDateTime) {
        self.app.clock.set(now);
    }

    /// The number of the template's task with that key.
    pub async fn task(&self, key: &str) -> i64 {
        self.tasks().await.into_iter().find(|task| task.key.as_deref() == Some(key)).unwrap().id
    }

    pub async fn tasks(&self) -> Vec<countdown::Task> {
        self.app.db.write(|tx| Box::pin(countdown::tasks_in(tx, 1))).await.unwrap()
    }

    /// Everything in the store, as text.
    pub fn dump(&self) -> String {
        dump(&self.folder.path().join(burnday::db::FILE))
    }
}

/// The rows of every table, as text, read beside the app.
pub fn dump(path: &Path) -> String {
    let shell = std::process::Command::new("sqlite3").arg("-readonly").arg(path).arg(".dump").output().unwrap();
    assert!(shell.status.success(), "{}", String::from_utf8_lossy(&shell.stderr));
    String::from_utf8(shell.stdout).unwrap()
}

pub fn config(folder: &Path, flags: &[&str]) -> Config {
    let mut words = vec!["burnday", "--data", folder.to_str().unwrap()];
    words.extend(flags);
    Cli::parse_from(words).config
}

pub async fn open(folder: &Path, flags: &[&str]) -> App {
    let db = Db::open(folder).await.unwrap();
    App::new(db, Clock::standing_at(NOW), config(folder, flags)).unwrap()
}

pub async fn set_up(app: &App) {
    let department = Department {
        name: "Alder Bend Fire District".to_owned(),
        zone: "America/Chicago".to_owned(),
        phone: "555-0117".to_owned(),
        home: Home::default(),
        version: 1,
    };
    app.db
        .write(move |tx| {
            Box::pin(async move { accounts::set_up(tx, &department, "Olga Wren", OFFICER, &HASH, NOW).await })
        })
        .await
        .unwrap()
        .unwrap();
}

/// Puts the event long ago, so that a program on the machine's own clock writes no reminders,
/// whatever the hour and the weekday.
pub async fn long_ago(app: &App) {
    let move_back = app.db.write(|tx| {
        Box::pin(async move {
            #[expect(clippy::disallowed_methods, reason = "the macro checks the queries of the app alone")]
            sqlx::query("update event set burn_on = '2020-01-04', rain_on = null").execute(&mut **tx).await?;
            Ok(())
        })
    });
    move_back.await.unwrap();
}

pub async fn plan(app: &App) -> i64 {
    let details = Details {
        name: "Two Rooms, One Spark".to_owned(),
        site: "Alder Bend fairground, east lot".to_owned(),
        zone: Zone::named("America/Chicago").unwrap(),
        burn_on: BURN_ON,
        burn_time: time!(10:00),
        rain_on: Some(date!(2027 - 06 - 12)),
        format: Format::OneAtATime,
        audience: Some(300),
        weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
        visitors: VisitorFacts::default(),
    };
    app.db
        .write(move |tx| {
            Box::pin(async move {
                let id = events::create(tx, Actor::Account(1), &details, NOW).await?;
                countdown::add_template(tx, Actor::Account(1), id, NOW).await?;
                Ok(id)
            })
        })
        .await
        .unwrap()
}

/// A picture of one color, as a camera sends it.
pub fn picture(color: [u8; 3]) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let image = image::RgbImage::from_pixel(64, 48, image::Rgb(color));
    image.write_to(&mut bytes, image::ImageFormat::Jpeg).unwrap();
    bytes.into_inner()
}
