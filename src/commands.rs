//! What the program does when it is started.

use crate::accounts::{self, Account, Purpose};
use crate::clock::Clock;
use crate::config::{AccountAction, Cli, Command, Config, Hidden};
use crate::db::journal::Actor;
use crate::db::{self, Db};
use crate::error::Error;
use crate::mail::{Mailer, Pace, outbox};
use crate::state::App;
use crate::web::words;
use crate::{backup, demo, directory, people, photos, press, server};
use anyhow::{Context, anyhow, bail};
use std::io::IsTerminal;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use tokio::net::TcpListener;
use tokio::signal::unix::{SignalKind, signal};
use tracing_subscriber::EnvFilter;

/// Does what the command line asks for.
///
/// # Errors
/// What went wrong, for the person at the terminal.
pub async fn run(cli: Cli) -> anyhow::Result<()> {
    match cli.command.unwrap_or(Command::Serve) {
        Command::Serve => serve(cli.config).await,
        // Nothing of a made-up department may reach anybody.
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
    // These write whole addresses at their finest levels, and an address may hold
    // a link's secret.
    let filter = format!("{},tower_http=info,hyper=info", config.log);
    let filter = EnvFilter::try_new(filter).with_context(|| format!("read the log filter {:?}", config.log))?;
    // A log that can't be written, as on a full disk, must not end what is logged.
    let log = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).log_internal_errors(false);
    let log = log.with_ansi(std::io::stderr().is_terminal());
    if config.log_json {
        log.json().init();
    } else {
        log.init();
    }
    Ok(())
}

async fn serve(mut config: Config) -> anyhow::Result<()> {
    start_log(&config)?;
    demo::refuse(&config.data)?;
    let db = Db::open(&config.data).await?;
    let listener = listen(&mut config).await?;
    let app = App::new(db, Clock::System, config)?;
    let stop = told_to_stop()?;
    let now = app.clock.now();
    let link = app.db.write(move |tx| Box::pin(accounts::set_up_link(tx, now))).await.map_err(Error::cause)?;
    directory::sweep(&app.config.data)?;
    let hold = outbox::hold(app.db.read()).await.map_err(Error::cause)?;
    if hold.held {
        println!("All mail is held until the education officer releases it under Mail: {}", hold.why);
    }
    app.db.write(move |tx| Box::pin(people::fill_search(tx))).await.map_err(Error::cause)?;
    let department = accounts::department(app.db.read()).await.map_err(Error::cause)?.unwrap_or_default().name;
    let mark = app.db.write(move |tx| Box::pin(async move { press::mark_old_papers(tx, &department, now).await }));
    mark.await.map_err(Error::cause)?;
    let base = app.config.base_url();
    match link {
        Some(secret) => println!(
            "Burnday is ready to be set up. Open this link within a day; it works once:\n\n  {base}{}/{}\n",
            Purpose::SetUp.path(),
            secret.reveal()
        ),
        None => println!("Burnday serves {base}\n"),
    }
    println!("{}", mail_line(&app));
    println!("Stop with Ctrl+C. The store is in {}.", app.config.data.display());
    server::run(app, listener, stop).await
}

async fn demonstrate(mut config: Config) -> anyhow::Result<()> {
    start_log(&config)?;
    demo::clear(&config.data)?;
    directory::sweep(&config.data)?;
    let db = Db::open(&config.data).await?;
    let listener = listen(&mut config).await?;
    let app = App::new(db, Clock::System, config)?;
    let stop = told_to_stop()?;
    let people = demo::fill(&app, app.clock.now()).await.map_err(Error::cause)?;
    let base = app.config.base_url();
    println!("The demo of Burnday: the Alder Bend Fire District, which is made up. Open one of these:\n");
    for (role, secret) in people {
        println!("  {:<20} {base}{}/{}", role.as_str(), Purpose::Demo.path(), secret.reveal());
    }
    println!("\nStop with Ctrl+C. Everything is put back when the demo starts again.");
    server::run(app, listener, stop).await
}

fn mail_line(app: &App) -> String {
    let to = app.mailer.goes_to();
    if app.mailer.stays_here() {
        format!("Mail does not leave the house: each message becomes a file in {to}. Set a relay up with --mail-url.")
    } else {
        format!("Mail goes to the relay {to}, from {}.", app.mailer.from())
    }
}

/// Listens, and notes where: port 0 lets the system choose a free one, and links
/// name it.
async fn listen(config: &mut Config) -> anyhow::Result<TcpListener> {
    let address = config.listen;
    let listener = TcpListener::bind(address)
        .await
        .with_context(|| format!("listen on {address}: is another program there? Choose another with --listen"))?;
    config.listen = listener.local_addr()?;
    Ok(listener)
}

/// Ends when the program is told to stop. Listens from the call on, so that a
/// stop right after the start is a clean one too.
fn told_to_stop() -> anyhow::Result<impl Future<Output = ()>> {
    let mut terminate = signal(SignalKind::terminate()).context("listen for SIGTERM")?;
    let mut interrupt = signal(SignalKind::interrupt()).context("listen for Ctrl+C")?;
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
                bail!("the account of {mail} is disabled; an education officer must let it sign in again first");
            }
            let write = db.write(move |tx| {
                Box::pin(async move {
                    accounts::end_sign_ins(tx, Actor::System, &account, now).await?;
                    accounts::make_link(tx, Actor::System, &account, Purpose::Password, now).await
                })
            });
            let secret = write.await.map_err(Error::cause)?;
            println!(
                "Every sign-in of {mail} has ended. With this link a new password is chosen; it works once, for an \
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
                "Every sign-in of {mail} has ended; there {}.",
                if number == 1 { "was 1".to_owned() } else { format!("were {number}") }
            );
        }
    }
    Ok(())
}

async fn find(db: &Db, mail: &str) -> anyhow::Result<Account> {
    let found = accounts::find_by_mail(db.read(), mail).await.map_err(Error::cause)?;
    found.ok_or_else(|| anyhow!("there is no account with the mail address {mail}; `burnday account list` shows all"))
}

async fn backup(config: &Config, into: &Path) -> anyhow::Result<()> {
    let db = Db::open_beside(&config.data).await?;
    // Looked for first: a photo that comes meanwhile has its file before its row.
    let missing = photos::missing(&db, &config.data).await.map_err(Error::cause);
    let copied = backup::make(&db, &config.data, into).await;
    db.close().await;
    println!("The store and {} are in {}.", words::count(copied?, "photo", "photos"), into.display());
    if missing? > 0 {
        bail!("some photos have no file and could not be copied; `burnday check` tells more");
    }
    println!(
        "Emailed links are made with the file link-key, which is not in it: keep a copy of that once, and elsewhere."
    );
    Ok(())
}

async fn hold(config: &Config) -> anyhow::Result<()> {
    let db = Db::open_beside(&config.data).await?;
    let now = Clock::System.now();
    let holding = db.write(move |tx| Box::pin(async move { outbox::hold_by_command(tx, now).await }));
    let held = holding.await;
    db.close().await;
    println!(
        "All mail {} held until the education officer releases it under Mail.",
        if held.map_err(Error::cause)? { "is" } else { "was held already, and is" }
    );
    Ok(())
}

async fn check(config: &Config) -> anyhow::Result<()> {
    let mut wrong = check_modes(&config.data)?;
    println!("settings      listen {}, base address {}", config.listen, config.base_url());
    if !config.is_https() && !config.listen.ip().is_loopback() {
        wrong
            .push("the app is served beyond this machine without https: passwords could be read on the way".to_owned());
    }
    match Mailer::new(config, Pace::of(config)) {
        Ok(mailer) if mailer.stays_here() => println!("mail          files in {}", mailer.goes_to()),
        Ok(mailer) => println!("mail          to {} from {}", mailer.goes_to(), mailer.from()),
        Err(error) => wrong.push(format!("mail: {error:#}")),
    }
    let db = Db::open_beside(&config.data).await?;
    let looked = async {
        let mut problems = db.check().await?;
        let missing = photos::missing(&db, &config.data).await?;
        if missing > 0 {
            let said = words::count(missing, "photo has no file", "photos have no file");
            problems.push(format!("{said} in {}: was it copied along?", photos::FOLDER));
        }
        Ok(problems)
    };
    let problems = looked.await.map_err(Error::cause);
    db.close().await;
    let problems = problems?;
    println!("store         {} of its checks failed", problems.len());
    wrong.extend(problems);
    for what in &wrong {
        println!("WRONG         {what}");
    }
    if wrong.is_empty() {
        println!("All is well.");
        Ok(())
    } else {
        bail!("{} of the checks failed", wrong.len())
    }
}

/// Nobody but the owner may read the data folder.
fn check_modes(folder: &Path) -> anyhow::Result<Vec<String>> {
    let mut wrong = Vec::new();
    let mut look = |path: &Path| -> anyhow::Result<()> {
        let mode = std::fs::metadata(path).with_context(|| format!("look at {}", path.display()))?.permissions().mode();
        if mode & 0o077 != 0 {
            let mode = mode & 0o777;
            wrong.push(format!("{} can be read by others (mode {mode:o}); chmod go= {0}", path.display()));
        }
        Ok(())
    };
    look(folder)?;
    let mut files = 0;
    for entry in std::fs::read_dir(folder)? {
        look(&entry?.path())?;
        files += 1;
    }
    println!("folder        {} with {files} files", folder.display());
    if !folder.join(db::FILE).is_file() {
        bail!("there is no store in {}", folder.display());
    }
    Ok(wrong)
}
