//! The well-known offices.

/// A well-known office, whatever a department calls it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Usual {
    /// A state's governor.
    Governor,
    /// A senator in Congress.
    UsSenator,
    /// A representative in Congress.
    UsRepresentative,
    /// A state's lieutenant governor.
    LieutenantGovernor,
    /// Another office for a whole state, such as its attorney general or fire marshal.
    StateOfficer,
    /// A senator in a state's legislature.
    StateSenator,
    /// A representative in a state's legislature.
    StateRepresentative,
    /// The head of a county's government.
    CountyExecutive,
    /// A county commissioner or supervisor.
    Commissioner,
    /// A county's sheriff.
    Sheriff,
    /// Heads a city, town, or village.
    Mayor,
    /// Presides over a city council.
    CouncilPresident,
    /// On a city council.
    CouncilMember,
    /// On a school board.
    SchoolBoardMember,
    /// Runs the schools of a district.
    Superintendent,
    /// A fire department's chief.
    FireChief,
    /// A police department's chief.
    PoliceChief,
    /// Runs a city for its council.
    CityManager,
    /// Of a city or county department.
    DepartmentHead,
}

/// Which office a text means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meaning {
    /// This office.
    One(Usual),
    /// One of the two, and the jurisdiction doesn't settle which.
    Either(Usual, Usual),
    /// None of them.
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
