use burnday::{commands, config::Cli};
use std::process::ExitCode;

fn main() -> ExitCode {
    let cli = Cli::read();
    let runtime = tokio::runtime::Runtime::new().expect("a runtime starts");
    match runtime.block_on(commands::run(cli)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}
