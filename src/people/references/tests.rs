use super::*;
use serde_json::{Value, from_value, json};

fn moved(record: Value) -> Moved {
    from_value(record).unwrap()
}

fn ids(record: Value, paths: &[&str]) -> Result<Option<Vec<i64>>> {
    moved(record).read(paths)
}

#[test]
fn what_was_moved_is_found_under_its_name_and_those_of_older_versions() {
    let paths = ["loan.lender_id", "loans/lender", "loans/their", "guests/1"];
    for record in [
        json!({"loan.lender_id": [3, 4]}),
        json!({"loans": {"lender": [3, 4]}}),
        json!({"loans": {"their": [3, 4], "other": "x"}}),
        json!({"guests": [[1], [3, 4]]}),
        json!({"loan.lender_id": null, "loans": null, "guests": [[], [3, 4]]}),
    ] {
        assert_eq!(ids(record.clone(), &paths).unwrap(), Some(vec![3, 4]), "{record}");
    }
}

#[test]
fn a_part_that_is_missing_moved_nothing() {
    for record in [json!({}), json!({"loans": {}}), json!({"loans": null}), json!({"guests": []})] {
        assert_eq!(ids(record.clone(), &["loans/lender", "guests/1"]).unwrap(), None, "{record}");
    }
}

#[test]
fn a_part_that_cannot_be_read_is_an_error() {
    for record in [
        json!({"loans": 7}),
        json!({"loans": "x"}),
        json!({"loans": {"lender": 7}}),
        json!({"loans": {"lender": ["x"]}}),
    ] {
        assert!(ids(record.clone(), &["loan.lender_id", "loans/lender"]).is_err(), "{record}");
    }
}

#[test]
fn a_column_reads_its_own_name_and_the_first_step_of_older_paths() {
    let column = PersonColumn::moves("loan", "lender_id").was_at(&["loans/lender"]);
    assert!(column.reads("loan.lender_id") && column.reads("loans"));
    assert!(!column.reads("lender") && !column.reads("loan"));
}
