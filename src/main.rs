use burnday::{commands, config::Cli};
use std::process::ExitCode;

// Rows are made by the store's threads and freed by others, which the system's
// allocator takes badly.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

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
