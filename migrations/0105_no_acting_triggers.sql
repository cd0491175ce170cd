-- The program itself lets asks lapse when an event's dates change, and cancels what an
-- answer makes needless, in the write that does either and at its time.
drop trigger ask_lapses;
drop trigger answer_settles;
