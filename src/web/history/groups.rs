//! The entries of a history by day and person.

use super::HistoryLine;

/// So many entries of a group are shown; the rest is folded.
const HANDFUL: usize = 5;

/// What one person did on one day, the newest first.
#[derive(Debug)]
pub struct Group<'a> {
    pub day: &'a str,
    pub who: &'a str,
    pub first: Vec<&'a HistoryLine>,
    /// What is folded.
    pub rest: Vec<&'a HistoryLine>,
}

impl Group<'_> {
    /// How many entries it has.
    #[must_use]
    pub fn count(&self) -> usize {
        self.first.len() + self.rest.len()
    }
}

/// The entries by day and then by person, in the order in which they first come.
#[must_use]
pub fn by_day(lines: &[HistoryLine]) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for line in lines {
        let place = groups.iter().position(|group| (group.day, group.who) == (&*line.day, &*line.who));
        let place = place.unwrap_or_else(|| {
            // Beside what others did that day.
            let after = groups.iter().rposition(|group| group.day == line.day).map_or(groups.len(), |last| last + 1);
            groups.insert(after, Group { day: &line.day, who: &line.who, first: Vec::new(), rest: Vec::new() });
            after
        });
        let group = &mut groups[place];
        if group.first.len() < HANDFUL {
            group.first.push(line);
        } else {
            group.rest.push(line);
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_are_grouped_by_day_and_person_and_folded_beyond_a_handful() {
        let line = |day: &str, who: &str, title: &str| HistoryLine {
            day: day.to_owned(),
            time: "09:30".to_owned(),
            who: who.to_owned(),
            kind: "task".to_owned(),
            verb: "changed".to_owned(),
            subject: "task".to_owned(),
            title: title.to_owned(),
            href: String::new(),
            changes: Vec::new(),
        };
        let mut lines = vec![line("Tue", "Priya", "last"), line("Tue", "Jun", "own"), line("Tue", "Priya", "first")];
        lines.extend((0..7).map(|number| line("Mon", "Jun", &number.to_string())));
        // From another list, and so out of order.
        lines.push(line("Tue", "Ana", "late"));
        let groups = by_day(&lines);
        let counts = groups.iter().map(|group| (group.day, group.who, group.first.len(), group.rest.len()));
        let expected = [("Tue", "Priya", 2, 0), ("Tue", "Jun", 1, 0), ("Tue", "Ana", 1, 0), ("Mon", "Jun", 5, 2)];
        assert_eq!(counts.collect::<Vec<_>>(), expected);
        assert_eq!(groups[0].first.iter().map(|line| line.title.as_str()).collect::<Vec<_>>(), ["last", "first"]);
        assert_eq!(groups[3].rest[0].title, "5", "the newest come first");
    }
}
