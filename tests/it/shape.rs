//! The shape of the code: arrows go down, files are short, a handler fits on a screen, and an
//! argument has a name.

mod modules;

use self::modules::{Modules, is_for_tests, is_test};
use crate::support::routes::sources;
use petgraph::algo::tarjan_scc;
use petgraph::graphmap::DiGraphMap;
use quote::ToTokens;
use std::path::Path;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{FnArg, ImplItemFn, Item, ItemFn, ItemMod, Pat, ReturnType, Signature, Type};

/// No file is longer,
const LONGEST: usize = 500;
/// and half of them aren't longer than this.
const MEDIAN: usize = 150;
/// Lines between the braces of a handler.
const HANDLER: usize = 25;
/// More values than this in one argument need names.
const PAIR: usize = 2;

/// Files that name each other, with the reason.
const CIRCLES: &[&[&str]] = &[
    // What goes wrong becomes a page, and making a page can go wrong.
    &["src/error.rs", "src/web/page.rs"],
];

#[test]
fn no_two_files_name_each_other() {
    let modules = Modules::read();
    let arrows = modules.arrows();
    let mut graph: DiGraphMap<&Path, ()> = DiGraphMap::new();
    for (from, to) in &arrows {
        for to in to {
            graph.add_edge(from, to, ());
        }
    }
    assert!(graph.edge_count() > 1_000, "only {} arrows were found", graph.edge_count());
    let mut circles = Vec::new();
    for mut circle in tarjan_scc(&graph).into_iter().filter(|files| files.len() > 1) {
        circle.sort();
        if CIRCLES.iter().any(|known| circle.iter().eq(known.iter().map(Path::new).collect::<Vec<_>>().iter())) {
            continue;
        }
        let inside = circle.iter().map(|from| {
            let to: Vec<_> = arrows[from].iter().filter(|to| circle.contains(to)).collect();
            format!("{} -> {to:?}", from.display())
        });
        circles.push(inside.collect::<Vec<_>>().join("\n"));
    }
    assert!(circles.is_empty(), "{} circles:\n{}", circles.len(), circles.join("\n\n"));
}

#[test]
fn files_are_short() {
    let mut lengths: Vec<_> = sources().into_iter().map(|(path, text)| (text.lines().count(), path)).collect();
    lengths.sort();
    let long: Vec<_> = lengths.iter().filter(|(lines, _)| *lines > LONGEST).collect();
    assert!(long.is_empty(), "{long:?}");
    let (median, _) = &lengths[lengths.len() / 2];
    assert!(*median <= MEDIAN, "half of the files have more than {median} lines");
}

/// What a function is called, and what is too much in it.
#[derive(Default)]
struct Found {
    handlers: usize,
    functions: usize,
    long: Vec<String>,
    packed: Vec<String>,
}

impl Found {
    fn everywhere() -> Self {
        let mut found = Self::default();
        for (path, text) in sources().iter().filter(|(path, _)| !is_test(path)) {
            let before = (found.long.len(), found.packed.len());
            found.visit_file(&syn::parse_file(text).unwrap());
            let Self { long, packed, .. } = &mut found;
            for name in long.iter_mut().skip(before.0).chain(packed.iter_mut().skip(before.1)) {
                *name = format!("{} {name}", path.display());
            }
        }
        found
    }

    fn function(&mut self, signature: &Signature, body: &syn::Block) {
        self.functions += 1;
        if signature.inputs.iter().any(is_packed) {
            self.packed.push(signature.ident.to_string());
        }
        if is_handler(signature) {
            self.handlers += 1;
            let lines = (body.span().end().line - body.span().start().line).saturating_sub(1);
            if lines > HANDLER {
                self.long.push(format!("{} ({lines})", signature.ident));
            }
        }
    }
}

impl<'ast> Visit<'ast> for Found {
    fn visit_item(&mut self, item: &'ast Item) {
        let is_test = matches!(item, Item::Mod(ItemMod { attrs, .. }) if is_for_tests(attrs));
        if !is_test {
            visit::visit_item(self, item);
        }
    }

    fn visit_item_fn(&mut self, function: &'ast ItemFn) {
        self.function(&function.sig, &function.block);
        visit::visit_item_fn(self, function);
    }

    fn visit_impl_item_fn(&mut self, function: &'ast ImplItemFn) {
        self.function(&function.sig, &function.block);
        visit::visit_impl_item_fn(self, function);
    }
}

/// It answers a request: it takes the app from the router, and gives a response.
fn is_handler(signature: &Signature) -> bool {
    let gives = match &signature.output {
        ReturnType::Type(_, kind) => kind.to_token_stream().to_string(),
        ReturnType::Default => String::new(),
    };
    let takes = |argument: &FnArg| match argument {
        FnArg::Typed(argument) => argument.ty.to_token_stream().to_string().starts_with("State <"),
        FnArg::Receiver(_) => false,
    };
    let answers = ["Response", "Redirect", "Html", "Sse"].iter().any(|kind| gives.contains(kind));
    signature.asyncness.is_some() && answers && signature.inputs.iter().any(takes)
}

/// It holds more values than two without names. What an extractor takes out of a path isn't
/// meant: there the order is the path's.
fn is_packed(argument: &FnArg) -> bool {
    let FnArg::Typed(argument) = argument else { return false };
    let kind = match argument.ty.as_ref() {
        Type::Reference(reference) => reference.elem.as_ref(),
        kind => kind,
    };
    let is_pattern = matches!(argument.pat.as_ref(), Pat::Tuple(pattern) if pattern.elems.len() > PAIR);
    is_pattern || matches!(kind, Type::Tuple(tuple) if tuple.elems.len() > PAIR)
}

#[test]
fn a_handler_fits_on_a_screen() {
    let found = Found::everywhere();
    assert!(found.handlers > 300, "only {} handlers were found", found.handlers);
    assert!(
        found.long.is_empty(),
        "over {HANDLER} lines: {} of {}\n{}",
        found.long.len(),
        found.handlers,
        found.long.join("\n")
    );
}

#[test]
fn more_than_two_values_have_names() {
    let found = Found::everywhere();
    assert!(found.functions > 3_000, "only {} functions were found", found.functions);
    assert!(found.packed.is_empty(), "{} of {}\n{}", found.packed.len(), found.functions, found.packed.join("\n"));
}
