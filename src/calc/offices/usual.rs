//! The well-known offices.

/// A well-known office, whatever a department calls it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Usual {
    Governor,
    UsSenator,
    UsRepresentative,
    LieutenantGovernor,
    StateOfficer,
    StateSenator,
    StateRepresentative,
    CountyExecutive,
    Commissioner,
    Sheriff,
    Mayor,
    CouncilPresident,
    CouncilMember,
    SchoolBoardMember,
    Superintendent,
    FireChief,
    PoliceChief,
    CityManager,
    DepartmentHead,
}

/// Which office a text means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meaning {
    One(Usual),
    Either(Usual, Usual),
    Unknown,
}

impl Usual {
    /// Is anything after "of" the name of a place? The mayor of anything is a mayor; a
    /// commissioner of agriculture is not a county commissioner.
    pub(super) fn is_of_places(self) -> bool {
        matches!(
            self,
            Self::Governor
                | Self::LieutenantGovernor
                | Self::UsSenator
                | Self::UsRepresentative
                | Self::StateSenator
                | Self::StateRepresentative
                | Self::Mayor
                | Self::Sheriff
                | Self::CityManager
                | Self::CountyExecutive
        )
    }

    /// The office it counts as if the list doesn't have it.
    pub(super) fn or_else(self) -> Option<Self> {
        match self {
            Self::CountyExecutive => Some(Self::Commissioner),
            Self::PoliceChief => Some(Self::DepartmentHead),
            _ => None,
        }
    }
}
