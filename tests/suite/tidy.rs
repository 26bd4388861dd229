//! The house rules, held by parsing our own sources: each file says what it is, imports run one
//! way, files stay short, scorers are named in one place, nothing is left to be done.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use syn::visit::{self, Visit};
use walkdir::WalkDir;

/// The steps in the order in which they may import: none imports one behind it. `problem` may be
/// imported by all; `main` and `lib` by none.
const PATH: [&str; 18] = [
    "problem",
    "ledger",
    "cut",
    "stash",
    "swatch",
    "measure",
    "index",
    "layout",
    "construct",
    "matching",
    "score",
    "assemble",
    "batch",
    "record",
    "room",
    "present",
    "serve",
    "cli",
];

/// The one file that may name the crates of scorers.
const NAMES_SCORERS: &str = "src/score/builtin.rs";

/// Crates in `plugins/` that are no scorers.
const NO_SCORERS: [&str; 5] = ["api", "door", "picture", "scripted", "units"];

/// Files longer than [`LONGEST`], each with its reason.
const LONG: [(&str, &str); 0] = [];

/// The most lines a file may have without a reason.
const LONGEST: usize = 500;

/// A source file of ours.
struct File {
    /// Its path from the root of the repository, with `/` between folders.
    path: String,
    text: String,
    parsed: syn::File,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// All our sources, in order.
fn sources() -> Vec<File> {
    let mut files = Vec::new();
    for folder in ["src", "plugins", "tests", "examples", "benches"] {
        let walk = WalkDir::new(root().join(folder)).sort_by_file_name().into_iter();
        // A folder of that name need not be there.
        for entry in walk.filter_map(Result::ok) {
            if entry.path().extension().is_none_or(|extension| extension != "rs") {
                continue;
            }
            let text = std::fs::read_to_string(entry.path()).expect("a source is text");
            let path =
                entry.path().strip_prefix(root()).expect("it is beneath the root").to_string_lossy().replace('\\', "/");
            let parsed = syn::parse_file(&text).unwrap_or_else(|why| panic!("{path}: {why}"));
            files.push(File { path, text, parsed });
        }
    }
    assert!(files.len() > 50, "only {} sources found", files.len());
    files
}

fn is_fine(broken: &[String]) {
    assert!(broken.is_empty(), "\n{}", broken.join("\n"));
}

#[test]
fn every_file_opens_by_saying_what_it_is() {
    let silent = sources().into_iter().filter(|file| !file.text.starts_with("//! "));
    is_fine(&silent.map(|file| format!("{} does not open with `//! `", file.path)).collect::<Vec<_>>());
}

#[test]
fn no_file_is_long_without_a_reason() {
    let reasons = BTreeMap::from(LONG);
    let mut broken = Vec::new();
    for file in sources() {
        let lines = file.text.lines().count();
        match (lines > LONGEST, reasons.get(file.path.as_str())) {
            (true, None) => broken.push(format!("{} has {lines} lines: look for the second subject in it", file.path)),
            (false, Some(_)) => broken.push(format!("{} is short by now: take it off the list", file.path)),
            _ => {}
        }
    }
    is_fine(&broken);
}

/// The modules a file is, as in `score::search`; for what is inline in it, deeper ones.
fn module_of(path: &str) -> Vec<String> {
    let inner = path.strip_prefix("src/").unwrap_or(path).trim_end_matches(".rs");
    let names = inner.split('/').filter(|name| !["mod", "lib", "main"].contains(name));
    names.map(str::to_owned).collect()
}

/// Collects the modules of the crate that a file names, from its top.
struct Imports {
    module: Vec<String>,
    named: BTreeSet<String>,
}

impl Imports {
    /// Where a path leads, if it leads to a module of this crate.
    fn lead(&mut self, segments: &[String]) {
        let mut at = match segments.first().map(String::as_str) {
            Some("crate") => Vec::new(),
            Some("self") => self.module.clone(),
            Some("super") => self.module[..self.module.len().saturating_sub(1)].to_vec(),
            _ => return,
        };
        for segment in &segments[1..] {
            if segment == "super" {
                at.pop();
            } else {
                at.push(segment.clone());
            }
        }
        self.named.extend(at.into_iter().next());
    }

    fn tree(&mut self, tree: &syn::UseTree, before: &[String]) {
        let with = |name: &syn::Ident| [before, &[name.to_string()]].concat();
        match tree {
            syn::UseTree::Path(path) => self.tree(&path.tree, &with(&path.ident)),
            syn::UseTree::Name(name) => self.lead(&with(&name.ident)),
            syn::UseTree::Rename(rename) => self.lead(&with(&rename.ident)),
            syn::UseTree::Glob(_) => self.lead(before),
            syn::UseTree::Group(group) => group.items.iter().for_each(|item| self.tree(item, before)),
        }
    }
}

impl<'ast> Visit<'ast> for Imports {
    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.tree(&item.tree, &[]);
    }

    /// Tests may use whatever they need.
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        if is_for_tests(&item.attrs) {
            return;
        }
        self.module.push(item.ident.to_string());
        visit::visit_item_mod(self, item);
        self.module.pop();
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let segments: Vec<String> = path.segments.iter().map(|segment| segment.ident.to_string()).collect();
        self.lead(&segments);
        visit::visit_path(self, path);
    }

    /// What stands in a macro is not parsed, but its words are there.
    fn visit_macro(&mut self, called: &'ast syn::Macro) {
        let text = called.tokens.to_string().replace(' ', "");
        for after in text.split("crate::").skip(1) {
            let name: String = after.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect();
            self.named.insert(name);
        }
        visit::visit_macro(self, called);
    }
}

fn imports(path: &str, parsed: &syn::File) -> BTreeSet<String> {
    let mut imports = Imports { module: module_of(path), named: BTreeSet::new() };
    imports.visit_file(parsed);
    imports.named
}

#[test]
fn imports_run_one_way() {
    let rank = |step: &str| PATH.iter().position(|name| *name == step);
    let mut broken = Vec::new();
    for file in sources().iter().filter(|file| file.path.starts_with("src/")) {
        let Some(step) = module_of(&file.path).into_iter().next() else { continue };
        let Some(own) = rank(&step) else {
            broken.push(format!("{}: `{step}` is no step of the path", file.path));
            continue;
        };
        for named in imports(&file.path, &file.parsed) {
            if rank(&named).is_some_and(|other| other > own) {
                broken.push(format!("{} imports `{named}`, a later step", file.path));
            }
        }
    }
    is_fine(&broken);
}

#[test]
fn the_import_rule_sees_every_way_to_name_a_module() {
    let source = "
        use crate::{score::{Answer}, stash as drawer};
        use super::super::present::text;
        mod inner { use super::super::super::room::Room; use self::own; }
        fn f() { crate::cli::main(); println!(\"{}\", crate::batch::x()); other::thing(); }
        type T = crate::record::Entry;
        #[cfg(test)] mod tests { use crate::web::page; }
    ";
    let parsed = syn::parse_file(source).expect("a source");
    let named = imports("src/index/build.rs", &parsed);
    let expected = ["batch", "cli", "index", "present", "record", "room", "score", "stash"];
    assert_eq!(named.iter().map(String::as_str).collect::<Vec<_>>(), expected);
}

/// Every name of a crate of ours that a file uses.
struct Crates(BTreeSet<String>);

impl<'ast> Visit<'ast> for Crates {
    fn visit_ident(&mut self, ident: &'ast syn::Ident) {
        if let Some(name) = ident.to_string().strip_prefix("swatchfold_") {
            self.0.insert(name.replace('_', "-"));
        }
    }
}

#[test]
fn scorers_are_named_in_one_place() {
    let scorers: BTreeSet<String> = std::fs::read_dir(root().join("plugins"))
        .expect("the folder is there")
        .map(|entry| entry.expect("its entries can be read").file_name().to_string_lossy().into_owned())
        .filter(|name| !NO_SCORERS.contains(&name.as_str()))
        .collect();
    assert!(scorers.contains("use-up"), "{scorers:?}");
    let mut named_here = BTreeSet::new();
    let mut broken = Vec::new();
    for file in sources().iter().filter(|file| file.path.starts_with("src/")) {
        let mut crates = Crates(BTreeSet::new());
        crates.visit_file(&file.parsed);
        let found: BTreeSet<_> = crates.0.intersection(&scorers).cloned().collect();
        if file.path == NAMES_SCORERS {
            named_here = found;
        } else if !found.is_empty() {
            broken.push(format!("{} names {found:?}", file.path));
        }
    }
    assert!(!named_here.is_empty(), "{NAMES_SCORERS} names no scorer");
    is_fine(&broken);
}

/// What a crate in `plugins/` may depend on among ours: a scorer on the contract alone.
#[test]
fn scorers_know_only_the_contract() {
    let mut broken = Vec::new();
    for entry in std::fs::read_dir(root().join("plugins")).expect("the folder is there") {
        let folder = entry.expect("its entries can be read").path();
        let name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let Ok(text) = std::fs::read_to_string(folder.join("Cargo.toml")) else { continue };
        let manifest: toml::Table = text.parse().unwrap_or_else(|why| panic!("plugins/{name}/Cargo.toml: {why}"));
        let ours = |dependency: &&String| {
            ["api", "units", "swatchfold"].contains(&dependency.as_str()) || dependency.starts_with("swatchfold-")
        };
        let depends: BTreeSet<String> = manifest
            .get("dependencies")
            .and_then(toml::Value::as_table)
            .map(|table| table.keys().filter(ours).cloned().collect())
            .unwrap_or_default();
        let may: &[&str] = match name.as_str() {
            "units" => &[],
            "api" => &["units"],
            // The host gives scripts the functions for colours.
            "scripted" => &["api", "swatchfold-colour-harmony"],
            _ => &["api"],
        };
        let more: Vec<_> = depends.iter().filter(|depends| !may.contains(&depends.as_str())).collect();
        if !more.is_empty() {
            broken.push(format!("plugins/{name} depends on {more:?}, and may only on {may:?}"));
        }
    }
    is_fine(&broken);
}

/// Finds what must not be in a program, outside its tests.
struct Unfinished {
    found: Vec<String>,
    /// Files that are modules of tests only, named by their parent.
    test_modules: Vec<String>,
}

fn is_for_tests(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        let is_cfg = attribute.path().is_ident("cfg")
            && attribute.meta.require_list().is_ok_and(|list| list.tokens.to_string().contains("test"));
        is_cfg || attribute.path().is_ident("test")
    })
}

impl<'ast> Visit<'ast> for Unfinished {
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        if is_for_tests(&item.attrs) {
            if item.content.is_none() {
                self.test_modules.push(item.ident.to_string());
            }
            return;
        }
        visit::visit_item_mod(self, item);
    }

    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        if !is_for_tests(&item.attrs) {
            visit::visit_item_fn(self, item);
        }
    }

    fn visit_macro(&mut self, called: &'ast syn::Macro) {
        for name in ["todo", "unimplemented", "dbg"] {
            if called.path.is_ident(name) {
                self.found.push(format!("{name}!"));
            }
        }
        visit::visit_macro(self, called);
    }

    fn visit_expr_method_call(&mut self, call: &'ast syn::ExprMethodCall) {
        if call.method == "unwrap" {
            self.found.push("unwrap()".to_owned());
        }
        visit::visit_expr_method_call(self, call);
    }
}

#[test]
fn nothing_is_left_to_be_done_or_to_luck() {
    let sources = sources();
    let is_program = |path: &str| {
        (path.starts_with("src/") || path.starts_with("plugins/"))
            && !path.contains("/tests/")
            && !path.contains("/benches/")
    };
    let mut for_tests: BTreeSet<PathBuf> = BTreeSet::new();
    let mut found: Vec<(PathBuf, Vec<String>)> = Vec::new();
    for file in sources.iter().filter(|file| is_program(&file.path)) {
        let mut unfinished = Unfinished { found: Vec::new(), test_modules: Vec::new() };
        unfinished.visit_file(&file.parsed);
        let path = Path::new(&file.path);
        let stem = path.file_stem().unwrap_or_default().to_string_lossy();
        let within = if ["mod", "lib", "main"].contains(&stem.as_ref()) {
            path.with_file_name("")
        } else {
            path.with_extension("")
        };
        for module in unfinished.test_modules {
            for_tests.insert(within.join(format!("{module}.rs")));
        }
        found.push((path.to_owned(), unfinished.found));
    }
    let broken: Vec<String> = found
        .into_iter()
        .filter(|(path, found)| !found.is_empty() && !for_tests.contains(path))
        .map(|(path, found)| format!("{} has {found:?}", path.display()))
        .collect();
    is_fine(&broken);
}
