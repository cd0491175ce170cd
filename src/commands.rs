//! What the program does when someone starts it.

use crate::accounts::{self, Account, Purpose};
use crate::clock::Clock;
use crate::config::{AccountAction, Cli, Command, Config, Hidden};
use crate::db::journal::Actor;
use crate::db::{self, Db};
use crate::error::Error;
use crate::mail::{Mailer, Pace, outbox};
use crate::state::App;
use crate::web::words;
use crate::{backup, demo, directory, people, photos, press, server, wording};
use anyhow::{Context, anyhow, bail};
use std::io::IsTerminal;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use time::OffsetDateTime;
use tokio::net::TcpListener;
use tokio::signal::unix::{SignalKind, signal};
use tracing_subscriber::EnvFilter;

/// Runs the command on the command line.
///
/// # Errors
/// What went wrong, worded for the person at the terminal.
pub async fn run(cli: Cli) -> anyhow::Result<()> {
    match cli.command.unwrap_or(Command::Serve) {
        Command::Serve => serve(cli.config).await,
        // Nothing from a made-up department may reach anyone.
        Command::Demo { folder } => {
            demonstrate(Config { data: folder, mail_url: Hidden::default(), mail_from: None, ..cli.config }).await
        }
        Command::Account { action } => account(&cli.config, action).await,
        Command::Backup { into } => backup(&cli.config, &into).await,
        Command::Hold => hold(&cli.config).await,
        Command::Check => check(&cli.config).await,
    }
}

fn start_log(config: &Config) -> anyhow::Result<()> {
    // At their most detailed levels these log whole addresses, and an address may hold a
    // link's secret.
    let filter = format!("{},tower_http=info,hyper=info", config.log);
    let filter =
        EnvFilter::try_new(filter).with_context(|| format!("the log filter {:?} can't be read", config.log))?;
    // A log that can't be written, as on a full disk, must not stop the program.
    let log = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).log_internal_errors(false);
    let log = log.with_ansi(std::io::stderr().is_terminal());
    if config.log_json {
        log.json().init();
    } else {
        log.init();
    }
    Ok(())
}

/// Opens the store that this process serves, with its texts in this program's words.
///
/// # Errors
/// When it can't be opened, read or written.
pub async fn open(folder: &Path, now: OffsetDateTime) -> anyhow::Result<Db> {
    let db = Db::open(folder).await?;
    wording::update(&db, now).await.map_err(Error::cause).context("can't update the texts in the database")?;
    Ok(db)
}

async fn serve(mut config: Config) -> anyhow::Result<()> {
    start_log(&config)?;
    demo::refuse(&config.data)?;
    let db = open(&config.data, Clock::System.now()).await?;
    let listener = listen(&mut config).await?;
    let app = App::new(db, Clock::System, config)?;
    let stop = told_to_stop()?;
    let now = app.clock.now();
    let link = app.db.write(move |tx| Box::pin(accounts::set_up_link(tx, now))).await.map_err(Error::cause)?;
    directory::sweep(&app.config.data)?;
    let hold = outbox::hold(app.db.read()).await.map_err(Error::cause)?;
    if hold.held {
        println!("All email is on hold until the education officer releases it on the Email page: {}", hold.why);
    }
    app.db.write(move |tx| Box::pin(people::fill_search(tx))).await.map_err(Error::cause)?;
    let department = accounts::department(app.db.read()).await.map_err(Error::cause)?.unwrap_or_default().name;
    let mark = app.db.write(move |tx| Box::pin(async move { press::mark_old_papers(tx, &department, now).await }));
    mark.await.map_err(Error::cause)?;
    let base = app.config.base_url();
    match link {
        Some(secret) => println!(
            "Burnday is ready to set up. Open this link within a day. It works once:\n\n  {base}{}/{}\n",
            Purpose::SetUp.path(),
            secret.reveal()
        ),
        None => println!("Burnday is running at {base}\n"),
    }
    println!("{}", mail_line(&app));
    println!("Press Ctrl+C to stop. Your data is in {}.", app.config.data.display());
    server::run(app, listener, stop).await
}

async fn demonstrate(mut config: Config) -> anyhow::Result<()> {
    start_log(&config)?;
    demo::clear(&config.data)?;
    directory::sweep(&config.data)?;
    let db = open(&config.data, Clock::System.now()).await?;
    let listener = listen(&mut config).await?;
    let app = App::new(db, Clock::System, config)?;
    let stop = told_to_stop()?;
    let people = demo::fill(&app, app.clock.now()).await.map_err(Error::cause)?;
    let base = app.config.base_url();
    println!("This is the Burnday demo. The Alder Bend Fire District is made up. Open one of these links:\n");
    for (role, secret) in people {
        println!("  {:<20} {base}{}/{}", role.as_str(), Purpose::Demo.path(), secret.reveal());
    }
    println!("\nPress Ctrl+C to stop. Everything resets when the demo starts again.");
    server::run(app, listener, stop).await
}

fn mail_line(app: &App) -> String {
    let to = app.mailer.goes_to();
    if app.mailer.stays_here() {
        format!(
            "Email is off: each message is saved as a file in {to}. To send email, name an email server with --mail-url."
        )
    } else {
        format!("Email goes out through {to}, from {}.", app.mailer.from())
    }
}

/// Starts listening, and writes the address back to the settings: for port 0 the system
/// picks a free port, and links need to name it.
async fn listen(config: &mut Config) -> anyhow::Result<TcpListener> {
    let address = config.listen;
    let listener = TcpListener::bind(address).await.with_context(|| {
        format!("can't listen on {address}. Another program may be using it. Choose another address with --listen")
    })?;
    config.listen = listener.local_addr()?;
    Ok(listener)
}

/// Finishes when the program is told to stop. It listens from this call on, so that a stop
/// right after the start is clean too.
fn told_to_stop() -> anyhow::Result<impl Future<Output = ()>> {
    let mut terminate = signal(SignalKind::terminate()).context("can't listen for SIGTERM")?;
    let mut interrupt = signal(SignalKind::interrupt()).context("can't listen for Ctrl+C")?;
    Ok(async move {
        tokio::select! {
            _ = terminate.recv() => {}
            _ = interrupt.recv() => {}
        }
        tracing::info!("stopping");
    })
}

async fn account(config: &Config, action: AccountAction) -> anyhow::Result<()> {
    let db = Db::open_beside(&config.data).await?;
    let done = account_action(config, &db, action).await;
    db.close().await;
    done
}

async fn account_action(config: &Config, db: &Db, action: AccountAction) -> anyhow::Result<()> {
    let now = Clock::System.now();
    match action {
        AccountAction::List => {
            for account in accounts::list(db.read()).await.map_err(Error::cause)? {
                let stands = match (account.disabled, account.joined) {
                    (true, _) => "disabled",
                    (false, true) => "can sign in",
                    (false, false) => "invited",
                };
                println!(
                    "{:<28} {:<20} {:<12} {:>2} sign-ins  {}",
                    account.mail, account.role, stands, account.sign_ins, account.name
                );
            }
        }
        AccountAction::ResetPassword { mail } => {
            let account = find(db, &mail).await?;
            if account.disabled {
                bail!(
                    "the account {mail} is disabled. An education officer must enable it first, in Settings, Accounts"
                );
            }
            let write = db.write(move |tx| {
                Box::pin(async move {
                    accounts::end_sign_ins(tx, Actor::System, &account, now).await?;
                    accounts::make_link(tx, Actor::System, &account, Purpose::Password, now).await
                })
            });
            let secret = write.await.map_err(Error::cause)?;
            println!(
                "{mail} is signed out everywhere. Open this link to choose a new password. It works once, within an \
                 hour:\n\n  {}{}/{}",
                config.base_url(),
                Purpose::Password.path(),
                secret.reveal()
            );
        }
        AccountAction::EndSignIns { mail } => {
            let account = find(db, &mail).await?;
            let number = account.sign_ins;
            let end = db.write(move |tx| {
                Box::pin(async move { accounts::end_sign_ins(tx, Actor::System, &account, now).await })
            });
            end.await.map_err(Error::cause)?;
            println!(
                "{mail} is signed out everywhere. {} ended.",
                if number == 1 { "1 sign-in".to_owned() } else { format!("{number} sign-ins") }
            );
        }
    }
    Ok(())
}

async fn find(db: &Db, mail: &str) -> anyhow::Result<Account> {
    let found = accounts::find_by_mail(db.read(), mail).await.map_err(Error::cause)?;
    found.ok_or_else(|| anyhow!("no account has the email {mail}. `burnday account list` shows all accounts"))
}

async fn backup(config: &Config, into: &Path) -> anyhow::Result<()> {
    let db = Db::open_beside(&config.data).await?;
    // Checked first: a photo added in the meantime has its file before its row.
    let missing = photos::missing(&db, &config.data).await.map_err(Error::cause);
    let copied = backup::make(&db, &config.data, into).await;
    db.close().await;
    println!("Your data and {} are in {}.", words::count(copied?, "photo", "photos"), into.display());
    if missing? > 0 {
        bail!("some photo files are missing and could not be copied. Run `burnday check` to see how many");
    }
    println!("The file link-key is not in this copy. Emailed links need it: keep one copy of it somewhere else.");
    Ok(())
}

async fn hold(config: &Config) -> anyhow::Result<()> {
    let db = Db::open_beside(&config.data).await?;
    let now = Clock::System.now();
    let holding = db.write(move |tx| Box::pin(async move { outbox::hold_by_command(tx, now).await }));
    let held = holding.await;
    db.close().await;
    println!(
        "All email {} on hold. The education officer can release it on the Email page.",
        if held.map_err(Error::cause)? { "is" } else { "was already" }
    );
    Ok(())
}

async fn check(config: &Config) -> anyhow::Result<()> {
    let mut wrong = check_modes(&config.data)?;
    println!("settings      listens on {}, base address {}", config.listen, config.base_url());
    if !config.is_https() && !config.listen.ip().is_loopback() {
        let exposed = "other machines can reach the app without https, so passwords could be read on the way. Put a \
                       proxy with https in front of it, and set --base-url";
        wrong.push(exposed.to_owned());
    }
    match Mailer::new(config, Pace::of(config)) {
        Ok(mailer) if mailer.stays_here() => println!("email         saved as files in {}", mailer.goes_to()),
        Ok(mailer) => println!("email         through {} from {}", mailer.goes_to(), mailer.from()),
        Err(error) => wrong.push(format!("email: {error:#}")),
    }
    let db = Db::open_beside(&config.data).await?;
    let looked = async {
        let mut problems = db.check().await?;
        let missing = photos::missing(&db, &config.data).await?;
        if missing > 0 {
            let said = words::count(missing, "photo has no file", "photos have no file");
            problems.push(format!("{said} in the folder {}. Copy that folder too", photos::FOLDER));
        }
        Ok(problems)
    };
    let problems = looked.await.map_err(Error::cause);
    db.close().await;
    let problems = problems?;
    println!("data          {}", words::count(problems.len(), "problem", "problems"));
    wrong.extend(problems);
    for what in &wrong {
        println!("WRONG         {what}");
    }
    if wrong.is_empty() {
        println!("No problems found.");
        Ok(())
    } else {
        bail!("{} found", words::count(wrong.len(), "problem", "problems"))
    }
}

/// Only the owner may read the data folder.
fn check_modes(folder: &Path) -> anyhow::Result<Vec<String>> {
    let mut wrong = Vec::new();
    let mut check = |path: &Path| -> anyhow::Result<()> {
        let mode =
            std::fs::metadata(path).with_context(|| format!("can't look at {}", path.display()))?.permissions().mode();
        if mode & 0o077 != 0 {
            let mode = mode & 0o777;
            wrong.push(format!("other users can read {} (mode {mode:o}). Run: chmod go= {0}", path.display()));
        }
        Ok(())
    };
    check(folder)?;
    let mut files = 0;
    for entry in std::fs::read_dir(folder)? {
        check(&entry?.path())?;
        files += 1;
    }
    println!("folder        {} with {files} files", folder.display());
    if !folder.join(db::FILE).is_file() {
        bail!("there is no Burnday data in {}", folder.display());
    }
    Ok(wrong)
}
