use super::*;
use crate::accounts::Role;

fn holder(role: Role, person_id: i64, name: &str) -> Holder {
    Holder { role, person_id, name: name.to_owned() }
}

#[test]
fn a_role_is_its_holders_list_and_a_name_goes_before_it() {
    let holders = [
        holder(Role::EducationOfficer, 1, "Priya Okafor"),
        holder(Role::EducationOfficer, 2, "Sam Lee"),
        holder(Role::SafetyOfficer, 3, "Rosa Tran"),
    ];
    let both = Responsible::of(Owner::EducationOfficer, None, &holders);
    assert_eq!(both.says(), "Priya Okafor and Sam Lee");
    assert!(both.is_on("1") && both.is_on("2") && !both.is_on("3") && !both.is_on("education officer"));
    assert_eq!(both.with("1"), "with Sam Lee");
    assert_eq!(both.list_of_role("education officer").as_deref(), Some("1"));
    let named = Responsible::of(Owner::EducationOfficer, Some((9, "Marcus Vale".to_owned())), &holders);
    assert!(named.is_on("9") && !named.is_on("1"));
    assert_eq!((named.says(), named.with("9").as_str()), ("Marcus Vale", ""));
    assert_eq!(named.list_of_role("education officer"), None);
}

#[test]
fn where_there_is_little_room_surnames_are_enough() {
    let short = |names: &[&str]| {
        let holders: Vec<Holder> = (1..).zip(names).map(|(id, name)| holder(Role::SafetyOfficer, id, name)).collect();
        Responsible::of(Owner::SafetyOfficer, None, &holders).short()
    };
    assert_eq!(short(&[]), "safety officer");
    assert_eq!(short(&["Rosa Tran"]), "Tran");
    assert_eq!(short(&["Maria de la Cruz"]), "Maria de la Cruz", "only she knows where it begins");
    assert_eq!(short(&["Rosa Tran", "Ben Ode"]), "Tran and Ode");
    assert_eq!(short(&["Rosa Tran", "Ben Ode", "Sam Lee", "Ana Ruiz"]), "Tran and 3 more");
}

#[test]
fn every_role_that_an_account_can_have_is_its_holders_list() {
    for role in Role::ALL {
        let Ok(owner) = role.as_str().parse::<Owner>() else { continue };
        let held = Responsible::of(owner, None, &[holder(role, 4, "Ana Ruiz")]);
        let named = Responsible::of(Owner::Volunteers, Some((4, "Ana Ruiz".to_owned())), &[]);
        assert_eq!(held.lists(), named.lists(), "{role}");
        assert_eq!(Responsible::of(owner, None, &[]).note(), "no one has this role yet", "{role}");
    }
}

#[test]
fn a_role_that_no_one_has_says_so_and_a_group_does_not() {
    let nobody = Responsible::of(Owner::SafetyOfficer, None, &[]);
    assert!(nobody.is_on("safety officer") && !nobody.is_on(""));
    assert_eq!((nobody.says(), nobody.note()), ("safety officer", "no one has this role yet"));
    assert_eq!(Responsible::of(Owner::Presenter, None, &[]).note(), "no one named yet");
    assert_eq!(Responsible::of(Owner::WholeCrew, None, &[]).note(), "");
}
