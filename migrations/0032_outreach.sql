-- Every word with an outlet. Rows are only added; a correction is another row.
create table outreach (
    id           integer primary key,
    event_id     integer not null references event (id) on delete cascade,
    outlet_id    integer not null references outlet (id),
    person_id    integer not null references person (id),
    channel      text not null check (channel in ('phone', 'mail', 'in person', 'text message', 'web form', 'letter')),
    outcome      text not null check (outcome in ('no answer yet', 'answered', 'will cover it', 'may cover it',
                                                  'will not cover it')),
    words        text not null,
    promised     text not null default '',
    follow_up_on text check (follow_up_on glob '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    follow_up_by integer references person (id),
    -- What was sent, and the mail it went in.
    version_id   integer references paper_version (id),
    mail_id      integer,
    at           integer not null,
    recorded_by  integer references account (id),
    created_at   integer not null,
    corrects     integer unique references outreach (id),
    check (follow_up_by is null or follow_up_on is not null)
) strict;

create index outreach_event on outreach (event_id, at);
create index outreach_outlet on outreach (outlet_id, at);
create index outreach_person on outreach (person_id, at);
create index outreach_follower on outreach (follow_up_by) where follow_up_by is not null;
