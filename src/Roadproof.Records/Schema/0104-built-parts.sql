-- Parts that the plant builds itself: which unit went in, and what came in with it. What is inside such a part stands beside it as a row of its own, so that
-- a lot is found in every unit that holds it, however deep.
alter table part_use add column built_unit text; -- the unit that went in as this part
alter table part_use add column via text;        -- the built unit that this part came in with
create index part_use_built on part_use (built_unit) where built_unit is not null;
