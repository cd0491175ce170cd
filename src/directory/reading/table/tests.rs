use super::*;

fn read(text: &str) -> Result<Vec<(u64, Vec<String>)>, String> {
    let mut all = Vec::new();
    rows(text, &mut |line, record| all.push((line, record.iter().map(str::to_owned).collect())))?;
    Ok(all)
}

fn cells(row: &[&str]) -> Vec<String> {
    row.iter().map(|cell| (*cell).to_owned()).collect()
}

#[test]
fn the_examples_of_rfc_4180_read_as_it_says() {
    // Section 2, rules 1, 2, 5, 6 and 7.
    assert_eq!(
        read("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n").unwrap(),
        [(1, cells(&["aaa", "bbb", "ccc"])), (2, cells(&["zzz", "yyy", "xxx"]))]
    );
    assert_eq!(read("aaa,bbb,ccc\r\nzzz,yyy,xxx").unwrap().len(), 2);
    assert_eq!(read("\"aaa\",\"bbb\"\r\nzzz,yyy\r\n").unwrap()[0].1, cells(&["aaa", "bbb"]));
    assert_eq!(read("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx\r\n").unwrap()[0].1[1], "b\r\nbb");
    assert_eq!(read("\"aaa\",\"b\"\"bb\",\"ccc\"").unwrap()[0].1[1], "b\"bb");
}

#[test]
fn the_separator_is_found() {
    for text in ["a;b;c,d\n1;2;3", "a\tb\tc\n1\t2\t3", "a,b,c\n1,2,3", "sep=;\na;b;c\n1;2;3", "sep=|\r\na|b|c\n1|2|3"] {
        let all = read(text).unwrap();
        assert_eq!(all[1].1, cells(&["1", "2", "3"]), "{text}");
    }
    assert_eq!(read("\"a;b;c\",d\n1,2").unwrap()[0].1, cells(&["a;b;c", "d"]));
    assert_eq!(read("name\nAna").unwrap(), [(1, cells(&["name"])), (2, cells(&["Ana"]))]);
}

#[test]
fn lines_are_counted_as_in_an_editor() {
    let lines = |text: &str| read(text).unwrap().into_iter().map(|(line, _)| line).collect::<Vec<_>>();
    assert_eq!(lines("a,b\n\n\"x\ny\",2\n3,4\n"), [1, 3, 5]);
    assert_eq!(lines("sep=,\na,b\n,\n1,2\n"), [2, 4]);
}

#[test]
fn stray_quotation_marks_are_located() {
    assert_eq!(read("a,b\nx\"y,2").unwrap()[1].1[0], "x\"y");
    let wrong = read("a,b\n1,\"open\n2,3\n").unwrap_err();
    assert!(wrong.starts_with("Line 2, column 2:"), "{wrong}");
    let wrong = read("a,b\n1,2\n\"x\" y,3\n").unwrap_err();
    assert!(wrong.starts_with("Line 3, column 1:"), "{wrong}");
}

#[test]
fn too_much_is_refused() {
    assert!(read(&",".repeat(MOST_COLUMNS)).unwrap_err().contains("101 columns"));
    assert!(read(&format!("a,b\n1,{}", "x".repeat(MOST_CELL + 1))).unwrap_err().starts_with("Line 2, column 2"));
    assert!(read(&"a\n".repeat(MOST_ROWS + 1)).is_ok());
    assert!(read(&"a\n".repeat(MOST_ROWS + 2)).unwrap_err().contains("20,000"));
    assert!(read(&"a\n".repeat(1_000_000)).unwrap_err().contains("20,000"));
}
