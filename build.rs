//! Tells cargo about new migrations, which the migration macro reads.

fn main() {
    println!("cargo:rerun-if-changed=migrations");
}
