use burnday::{commands, config::Cli};
use std::process::ExitCode;

// The store's threads allocate rows and other threads free them, which is slow with the
// system's allocator.
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
