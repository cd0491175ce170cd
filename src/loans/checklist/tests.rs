//! The lists read back as they are typed.

use super::*;

#[test]
fn lists_read_back_as_they_are_typed() {
    for kind in Kind::ALL {
        let list = usual(kind);
        assert_eq!(read_checks(&list.typed_checks()), Ok(list.checks.clone()), "{kind}");
        assert_eq!(read_accessories(&list.typed_accessories()), Ok(list.accessories.clone()), "{kind}");
    }
    assert_eq!(read_checks("screen\n\n"), Ok(vec![check("screen", "in order")]));
    assert_eq!(read_accessories("remote"), Ok(vec![accessory("remote", 1)]));
    assert_eq!(read_accessories("cable: red: 3"), Ok(vec![accessory("cable: red", 3)]));
    for wrong in [": whole", "screen:", "screen: whole\nscreen: clean"] {
        assert!(read_checks(wrong).is_err(), "{wrong}");
    }
    for wrong in ["cable: many", "cable: 0", "cable: -1", ": 3", "remote\nremote: 2"] {
        assert!(read_accessories(wrong).is_err(), "{wrong}");
    }
    assert!(read_checks(&"x\n".repeat(21)).is_err());
    assert!(read_checks(&"x".repeat(81)).is_err());
}
