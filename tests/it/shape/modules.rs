//! The source as modules, and which file names something of which other.

use crate::support::routes::sources;
use proc_macro2::{Delimiter, TokenStream, TokenTree};
use quote::ToTokens;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::{Path, PathBuf};
use syn::{Attribute, Item, UseTree, Visibility};

/// The segments of a path in the source: `crate`, `loans`, `store`.
type Segments = Vec<String>;

/// One file.
#[derive(Default)]
pub struct Module {
    pub file: PathBuf,
    /// What it imports, by the name it has here.
    imports: HashMap<String, Segments>,
    /// What it offers of others, by the name it has here.
    offers: HashMap<String, Segments>,
    /// All other paths in its code.
    paths: BTreeSet<Segments>,
}

/// All files of the program but its tests, by their module.
pub struct Modules(BTreeMap<Segments, Module>);

impl Modules {
    pub fn read() -> Self {
        let mut modules = BTreeMap::new();
        for (file, text) in sources() {
            if is_test(&file) || file.ends_with("main.rs") {
                continue;
            }
            let source = syn::parse_file(&text).unwrap();
            modules.insert(module_of(&file), Module::of(file, source.items));
        }
        Self(modules)
    }

    /// Each file, and the files it names something of. What a file offers of others, it doesn't
    /// name: the arrow goes from whoever uses it to where it is.
    pub fn arrows(&self) -> BTreeMap<&Path, BTreeSet<&Path>> {
        let arrows = self.0.iter().filter(|(name, _)| !name.is_empty()).map(|(name, module)| {
            let imported = module.imports.values().filter(|path| !self.is_module(name, path));
            let named = module.paths.iter().map(|path| module.in_full(path));
            let all: Vec<Segments> = imported.cloned().chain(named).collect();
            let files = all.iter().filter_map(|path| self.file(name, path)).filter(|file| *file != module.file);
            (module.file.as_path(), files.collect())
        });
        arrows.collect()
    }

    fn is_module(&self, from: &Segments, path: &[String]) -> bool {
        self.start(from, path).is_some_and(|(base, rest)| self.0.contains_key(&[base, rest].concat()))
    }

    /// The file that has what a path in a module names. None for the roof, `lib.rs`, and for
    /// other packages.
    fn file(&self, from: &Segments, path: &[String]) -> Option<&Path> {
        let found = self.resolve(from, path, 0)?;
        (!found.is_empty()).then(|| self.0[&found].file.as_path())
    }

    fn resolve(&self, from: &Segments, path: &[String], depth: u8) -> Option<Segments> {
        let (mut at, mut rest) = self.start(from, path)?;
        while let Some((first, others)) = rest.split_first() {
            let below = [at.as_slice(), std::slice::from_ref(first)].concat();
            if self.0.contains_key(&below) {
                (at, rest) = (below, others.to_vec());
                continue;
            }
            let Some(offered) = self.0[&at].offers.get(first).filter(|_| depth < 9) else { break };
            return self.resolve(&at, &[offered.as_slice(), others].concat(), depth + 1).or(Some(at));
        }
        Some(at)
    }

    /// Where a path begins, and what is left of it from there.
    fn start(&self, from: &Segments, path: &[String]) -> Option<(Segments, Segments)> {
        let (first, rest) = path.split_first()?;
        match first.as_str() {
            "crate" => Some((Vec::new(), rest.to_vec())),
            "self" => Some((from.clone(), rest.to_vec())),
            "super" => {
                let ups = path.iter().take_while(|segment| *segment == "super").count();
                Some((from[..from.len().checked_sub(ups)?].to_vec(), path[ups..].to_vec()))
            }
            _ => {
                let is_here = self.0.contains_key(&[from.as_slice(), std::slice::from_ref(first)].concat())
                    || self.0[from].offers.contains_key(first);
                is_here.then(|| (from.clone(), path.to_vec()))
            }
        }
    }
}

impl Module {
    fn of(file: PathBuf, items: Vec<Item>) -> Self {
        let mut module = Self { file, ..Self::default() };
        for item in items {
            match item {
                Item::Use(one) => {
                    let into =
                        if matches!(one.vis, Visibility::Inherited) { &mut module.imports } else { &mut module.offers };
                    leaves(&one.tree, &mut Vec::new(), into);
                }
                Item::Mod(one) if one.content.is_none() || is_for_tests(&one.attrs) => {}
                item => read_paths(item.into_token_stream(), &mut module.paths),
            }
        }
        module
    }

    /// A path with its first segment as it was imported.
    fn in_full(&self, path: &[String]) -> Segments {
        match self.imports.get(&path[0]) {
            Some(imported) => [imported.as_slice(), &path[1..]].concat(),
            None => path.to_vec(),
        }
    }
}

/// `src/loans/mod.rs` and `src/loans.rs` are `loans`; `src/lib.rs` is nothing.
fn module_of(file: &Path) -> Segments {
    let path = file.strip_prefix("src").unwrap().with_extension("");
    let mut segments: Segments = path.iter().map(|part| part.to_str().unwrap().to_owned()).collect();
    segments.pop_if(|last| last == "mod" || last == "lib");
    segments
}

/// Is a file only there for tests?
pub fn is_test(file: &Path) -> bool {
    file.iter().any(|part| ["tests", "tests.rs", "testing.rs"].iter().any(|name| part == *name))
}

/// Is something only compiled for tests?
pub fn is_for_tests(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|one| one.path().is_ident("cfg") && one.to_token_stream().to_string().contains("test"))
}

/// Everything an import names, by the name it gets.
fn leaves(tree: &UseTree, above: &mut Segments, into: &mut HashMap<String, Segments>) {
    match tree {
        UseTree::Path(path) => {
            above.push(path.ident.to_string());
            leaves(&path.tree, above, into);
            above.pop();
        }
        UseTree::Group(group) => group.items.iter().for_each(|tree| leaves(tree, above, into)),
        UseTree::Name(name) if name.ident == "self" => {
            into.insert(above.last().unwrap().clone(), above.clone());
        }
        UseTree::Name(name) => {
            let name = name.ident.to_string();
            into.insert(name.clone(), [above.as_slice(), &[name]].concat());
        }
        UseTree::Rename(rename) => {
            into.insert(rename.rename.to_string(), [above.as_slice(), &[rename.ident.to_string()]].concat());
        }
        UseTree::Glob(_) => {}
    }
}

/// The paths of two segments or more, in macros too.
fn read_paths(tokens: TokenStream, into: &mut BTreeSet<Segments>) {
    let mut path = Segments::new();
    let mut colons = 0;
    let mut end = |path: &mut Segments| {
        if path.len() > 1 {
            into.insert(std::mem::take(path));
        }
        path.clear();
    };
    let mut groups = Vec::new();
    for token in tokens {
        match token {
            TokenTree::Ident(ident) => {
                if colons != 2 {
                    end(&mut path);
                }
                path.push(ident.to_string());
                colons = 0;
            }
            TokenTree::Punct(punct) if punct.as_char() == ':' => colons += 1,
            TokenTree::Group(group) => {
                end(&mut path);
                colons = 0;
                if group.delimiter() != Delimiter::None || !group.stream().is_empty() {
                    groups.push(group.stream());
                }
            }
            _ => {
                end(&mut path);
                colons = 0;
            }
        }
    }
    end(&mut path);
    for group in groups {
        read_paths(group, into);
    }
}
