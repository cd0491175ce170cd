//! Lines by how soon they need someone.

/// Problems, what to do next, and the quiet rest.
pub(super) struct Split<T> {
    pub now: Vec<T>,
    pub next: Vec<T>,
    pub rest: Vec<T>,
}

/// How soon a line needs someone.
pub(super) enum Urgency {
    Now,
    Soon,
    Nothing,
}

impl<T> Split<T> {
    pub fn of(lines: impl IntoIterator<Item = T>, need: impl Fn(&T) -> Urgency) -> Self {
        let mut split = Self { now: Vec::new(), next: Vec::new(), rest: Vec::new() };
        for line in lines {
            let list = match need(&line) {
                Urgency::Now => &mut split.now,
                Urgency::Soon => &mut split.next,
                Urgency::Nothing => &mut split.rest,
            };
            list.push(line);
        }
        split
    }

    pub fn len(&self) -> usize {
        self.now.len() + self.next.len() + self.rest.len()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}
