//! Photos: who sees them, and how long their files stay.

use crate::support::{NOW, TestApp, picture};
use burnday::db::journal::Actor;
use burnday::photos::{self, FOLDER};
use std::os::unix::fs::PermissionsExt;
use time::Duration;

/// The files in the folder of photos, by name.
fn files(test: &TestApp) -> Vec<String> {
    let folder = test.folder.path().join(FOLDER);
    let mut names: Vec<String> =
        std::fs::read_dir(folder).unwrap().map(|file| file.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

async fn drop_photo(test: &TestApp, id: i64) {
    let drop = test.app.db.write(move |tx| Box::pin(async move { photos::drop(tx, id, Actor::Account(1), NOW).await }));
    drop.await.unwrap();
}

#[tokio::test]
async fn a_photo_is_shown_to_those_who_are_signed_in() {
    let test = TestApp::set_up().await;
    let id = test.photo([200, 60, 20]).await;
    let mut olga = test.olga().await;
    for path in [format!("/photos/{id}"), format!("/photos/{id}/small")] {
        let shown = olga.get(&path).await;
        assert_eq!((shown.status, shown.header("content-type")), (200, "image/jpeg"));
        assert_eq!(shown.header("x-content-type-options"), "nosniff");
        let image = image::load_from_memory(&shown.bytes).unwrap().into_rgb8();
        assert_eq!(image.dimensions(), (64, 48));
        let [red, green, blue] = image.get_pixel(30, 20).0;
        assert!(red.abs_diff(200) < 6 && green.abs_diff(60) < 6 && blue.abs_diff(20) < 6, "{red} {green} {blue}");
        assert!(test.stranger().get(&path).await.location().starts_with("/sign-in"));
    }
    assert_eq!(olga.get("/photos/99").await.status, 404);
    for name in files(&test) {
        let path = test.folder.path().join(FOLDER).join(name);
        assert_eq!(path.metadata().unwrap().permissions().mode() & 0o777, 0o600);
    }
}

#[tokio::test]
async fn a_file_goes_an_hour_after_nothing_refers_to_it_any_more() {
    let test = TestApp::set_up().await;
    let (twice, again) = (test.photo([200, 60, 20]).await, test.photo([200, 60, 20]).await);
    assert!(photos::take(&test.app, picture([1, 2, 3])).await.unwrap().is_ok(), "its form never came");
    assert_eq!(files(&test).len(), 4, "one picture, one file of each size");

    drop_photo(&test, twice).await;
    test.app.clock.set(NOW + Duration::minutes(59));
    photos::sweep(&test.app).await.unwrap();
    assert_eq!(files(&test).len(), 4, "a copy of the store may be under way");
    test.app.clock.set(NOW + Duration::minutes(61));
    photos::sweep(&test.app).await.unwrap();
    assert_eq!(files(&test).len(), 2, "the other photo still refers to it");
    assert_eq!(photos::missing(&test.app.db, test.folder.path()).await.unwrap(), 0);

    drop_photo(&test, again).await;
    photos::sweep(&test.app).await.unwrap();
    assert_eq!(files(&test).len(), 0);
}

#[tokio::test]
async fn a_photo_whose_file_was_not_copied_along_is_missed() {
    let test = TestApp::set_up().await;
    let id = test.photo([200, 60, 20]).await;
    std::fs::remove_dir_all(test.folder.path().join(FOLDER)).unwrap();
    assert_eq!(photos::missing(&test.app.db, test.folder.path()).await.unwrap(), 1);
    assert_eq!(test.olga().await.get(&format!("/photos/{id}")).await.status, 404);
}
