//! Makes cargo notice new migrations, which the migration macro reads.

fn main() {
    println!("cargo:rerun-if-changed=migrations");
}
