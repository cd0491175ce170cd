use super::*;

fn typed(name: &str, phone: &str, mail: &str) -> NewPerson {
    let text = str::to_owned;
    NewPerson { new_name: text(name), new_phone: text(phone), new_mail: text(mail), ..NewPerson::default() }
}

fn details(name: &str, phone: &str, mail: &str) -> Details {
    Details { phone: phone.to_owned(), mail: mail.to_owned(), ..Details::of_name(name) }
}

#[test]
fn a_form_means_whoever_was_chosen_or_typed() {
    let mut mistakes = Mistakes::default();
    let read = |new: &NewPerson, chosen: &str, mistakes: &mut Mistakes| {
        new.whom("lender", chosen, "Choose the lender.", mistakes)
    };
    assert_eq!(read(&NewPerson::default(), " 7 ", &mut mistakes), Some(Whom::Known(7)));
    let ana = read(&typed("Ana Ruiz", "", "ana@example.org"), "", &mut mistakes);
    let Some(Whom::New(ana)) = ana else { panic!("{ana:?}") };
    assert_eq!(ana.details, details("Ana Ruiz", "", "ana@example.org"));
    assert!(mistakes.is_empty());

    for (new, chosen, wrong) in [
        (NewPerson::default(), "", "lender"),
        (NewPerson::default(), "x", "lender"),
        (typed("Ana Ruiz", "", ""), "7", "new_name"),
        (typed("", "555-0117", ""), "", "new_name"),
        (typed("Ana Ruiz", "1", ""), "", "new_phone"),
        (typed("Ana Ruiz", "", "ana"), "", "new_mail"),
    ] {
        let mut mistakes = Mistakes::default();
        assert_eq!(read(&new, chosen, &mut mistakes), None, "{new:?}");
        assert!(mistakes.count() == 1 && !mistakes.of(wrong).is_empty(), "{wrong}: {mistakes:?}");
    }
}

#[test]
fn only_some_may_send_someone_new() {
    assert!(NewPerson::default().only_if(false).is_ok());
    assert!(typed("Ana Ruiz", "", "").only_if(true).is_ok());
    assert!(matches!(typed("Ana Ruiz", "", "").only_if(false), Err(Error::Forbidden(_))));
}
