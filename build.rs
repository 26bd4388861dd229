//! Tells Cargo that the demo stash is part of the program, so that a file added to it is embedded.

fn main() {
    println!("cargo::rerun-if-changed=demo-data");
}
