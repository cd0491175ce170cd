//! Photos: who can see them, and how long their files stay.

use crate::crash::prepare;
use crate::program::serve;
use crate::support::{NOW, TestApp, picture};
use burnday::db::journal::Actor;
use burnday::photos::{self, FOLDER};
use std::io::{Cursor, Read, Write};
use std::net::{SocketAddr, TcpStream};
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
    assert!(photos::take(&test.app, picture([1, 2, 3])).await.unwrap().is_ok(), "its form never arrived");
    assert_eq!(files(&test).len(), 4, "one picture, one file of each size");

    drop_photo(&test, twice).await;
    test.app.clock.set(NOW + Duration::minutes(59));
    photos::sweep(&test.app).await.unwrap();
    assert_eq!(files(&test).len(), 4, "a copy of the store may be in progress");
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

/// Posts a photo of an item and returns the connection.
fn post(address: SocketAddr, cookie: &str, file: &[u8]) -> TcpStream {
    let begin = "--edge\r\ncontent-disposition: form-data; name=\"photo\"; filename=\"a.png\"\r\n\r\n";
    let body = [begin.as_bytes(), file, b"\r\n--edge--\r\n"].concat();
    let head = format!(
        "POST /events/1/rooms/items/1/photo HTTP/1.1\r\nHost: {address}\r\nSec-Fetch-Site: same-origin\r\n\
         Cookie: {cookie}\r\nConnection: close\r\nContent-Type: multipart/form-data; boundary=edge\r\n\
         Content-Length: {}\r\n\r\n",
        body.len()
    );
    let mut stream = TcpStream::connect(address).unwrap();
    stream.write_all(head.as_bytes()).unwrap();
    stream.write_all(&body).unwrap();
    stream
}

/// The most memory a process has used so far, in bytes.
fn peak(pid: u32) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{pid}/status")).unwrap();
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).unwrap();
    line.split_whitespace().nth(1).unwrap().parse::<u64>().unwrap() * 1024
}

/// The work holds the turn, not the request: after a hang-up the work goes on and the next one
/// waits.
#[tokio::test]
async fn whoever_posts_pictures_and_hangs_up_takes_no_more_memory_than_one_does() {
    const MOST_ABOVE_IDLE: u64 = 250 * 1024 * 1024;
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let (cookie, _) = prepare(&data).await;
    let serving = serve(&data, &folder.path().join("log"));
    let mut large = Cursor::new(Vec::new());
    let whole = image::RgbImage::from_pixel(7_000, 7_100, image::Rgb([90, 90, 90]));
    whole.write_to(&mut large, image::ImageFormat::Png).unwrap();
    drop(whole);
    let large = large.into_inner();
    let idle = peak(serving.child.id());
    for _ in 0..8 {
        let stream = post(serving.address, &cookie, &large);
        std::thread::sleep(std::time::Duration::from_millis(60));
        drop(stream);
    }
    // Its turn comes after all that are still running.
    let mut answer = String::new();
    post(serving.address, &cookie, &picture([9, 9, 9])).read_to_string(&mut answer).unwrap();
    assert!(answer.starts_with("HTTP/1.1 404"), "there is no such item: {answer}");
    let above = peak(serving.child.id()) - idle;
    assert!(above < MOST_ABOVE_IDLE, "{} MB above idle", above / 1024 / 1024);
}
