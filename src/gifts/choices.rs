//! What can be chosen for a gift.

use crate::named::named;

named! {
    /// Money or anything else.
    Kind, "Choose a type of gift.", KINDS: [
        Money = "money",
        Goods = "in kind",
    ]
}

named! {
    /// A gift's status.
    GiftState, "Choose a status.", STATES: [
        Promised = "promised",
        Received = "received",
        NotComing = "not coming",
    ]
}

named! {
    /// Whose name it is given in.
    InName, "Choose whose name it is given in.", IN_NAMES: [
        Organization = "their organisation",
        Person = "themselves",
    ]
}

named! {
    /// Whether the donor got something in return.
    InReturn, "Choose whether something was given in return.", IN_RETURNS: [
        Unsaid = "not said yet",
        Nothing = "nothing",
        Something = "something",
    ]
}

named! {
    /// Whether the donor is named in front of the audience and in print.
    Recognition, "Choose what was agreed.", RECOGNITIONS: [
        Open = "not agreed yet",
        Agreed = "agreed",
        Unwanted = "wants none",
    ]
}

named! {
    /// Where the value of a gift in kind comes from.
    Basis, "Choose where the value comes from.", BASES: [
        FairMarket = "fair market value",
        Rental = "rental price",
        GiversWord = "giver's word",
    ]
}

impl InName {
    /// Its name on pages.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Organization => "their organization",
            Self::Person => "themselves",
        }
    }
}

impl Basis {
    /// Its name on pages.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::FairMarket | Self::Rental => self.as_str(),
            Self::GiversWord => "donor's estimate",
        }
    }
}
