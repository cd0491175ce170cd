-- The keys of forms that were sent and kept, so that none does its work twice. The
-- newest are enough: a form is sent again within minutes, if at all.
create table form_key (
    id integer primary key,
    key text not null unique,
    -- Of what was sent under it.
    digest blob not null
) strict;

create trigger form_key_forgotten after insert on form_key begin
    delete from form_key where id <= new.id - 20000;
end;
