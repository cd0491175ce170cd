//! Burnday: plan, run and review a public side-by-side live burn.

/// The job's computation; pure.
pub mod calc;

/// What the program does when it is started.
pub mod commands;
/// Settings and the command line.
pub mod config;
/// Routes, layers, start and stop.
pub mod server;
/// What every handler gets.
pub mod state;

/// The time it is.
pub mod clock;
/// Five answers besides the right one.
pub mod error;
/// Wall clocks.
pub mod zone;

/// The store.
pub mod db;
/// The HTTP edge.
pub mod web;

/// Who may do what.
pub mod accounts;
/// Tasks counted back from burn day.
pub mod countdown;
/// The burns themselves.
pub mod events;
/// Everyone the department knows.
pub mod people;
/// Department, closed days, accounts, journal.
pub mod settings;

/// A made-up department.
pub mod demo;
