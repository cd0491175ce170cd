//! Every route of the app, read from the source, so that a new one can't be
//! forgotten by a test.

use std::fs;
use std::path::{Path, PathBuf};

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Route {
    pub path: String,
    pub gets: bool,
    pub posts: bool,
}

pub fn sources() -> Vec<(PathBuf, String)> {
    fn collect(folder: &Path, into: &mut Vec<(PathBuf, String)>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                collect(&path, into);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                into.push((path.clone(), fs::read_to_string(&path).unwrap()));
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    collect(&root.join("src"), &mut found);
    found.sort();
    found.into_iter().map(|(path, text)| (path.strip_prefix(root).unwrap().to_owned(), text)).collect()
}

pub fn all() -> Vec<Route> {
    let mut routes = Vec::new();
    let sources = sources();
    let constant = |text: &str| Some(text.split("const PATH: &str = \"").nth(1)?.split('"').next().unwrap().to_owned());
    for (path, text) in &sources {
        // It is in the file itself or beside it.
        let beside = sources.iter().filter(|(other, _)| other.parent() == path.parent());
        let constant = constant(text).or_else(|| beside.clone().find_map(|(_, text)| constant(text)));
        for call in text.split(".route(").skip(1) {
            let call: String = call.split("\n\n").next().unwrap().to_owned();
            let end = closing(&call);
            let call = &call[..end];
            let path = if call.trim_start().starts_with("PATH") {
                constant.clone().unwrap()
            } else {
                call.split('"').nth(1).unwrap().to_owned()
            };
            let methods = call.split_once(',').unwrap().1;
            routes.push(Route { path, gets: methods.contains("get("), posts: methods.contains("post(") });
        }
    }
    assert!(routes.len() > 25, "the source was not understood: {routes:?}");
    routes
}

/// Where the bracket that is open at the start closes.
fn closing(text: &str) -> usize {
    let mut depth = 1;
    for (place, letter) in text.char_indices() {
        depth += i32::from(letter == '(') - i32::from(letter == ')');
        if depth == 0 {
            return place;
        }
    }
    text.len()
}

impl Route {
    /// A path with this event and task.
    pub fn at(&self, event: i64, task: i64) -> String {
        self.path
            .replace("/events/{id}", &format!("/events/{event}"))
            .replace("{task}", &task.to_string())
            .replace("{request}", "1")
            .replace("{gate}", "1")
            .replace("{gift}", "1")
            .replace("{loan}", "1")
            .replace("{step}", "1")
            .replace("{permit}", "1")
            .replace("{sending}", "1")
            .replace("{thing}", "1")
            .replace("{setting}", "1")
            .replace("{burn}", "1")
            .replace("{item}", "1")
            .replace("{kept}", "1")
            .replace("{line}", "1")
            .replace("{objective}", "1")
            .replace("{practice}", "1")
            .replace("{who}", "1")
            .replace("{outlet}", "1")
            .replace("{entry}", "1")
            .replace("{paper}", "1")
            .replace("{person}", "1")
            .replace("{story}", "1")
            .replace("{guest}", "1")
            .replace("{post}", "1")
            .replace("{assignment}", "1")
            .replace("{holding}", "1")
            .replace("{attendance}", "1")
            .replace("{qualification}", "1")
            .replace("{id}", "1")
            .replace("{secret}", &"A".repeat(43))
            .replace("{build}", "none")
            .replace("{*name}", "app.css")
    }
}
