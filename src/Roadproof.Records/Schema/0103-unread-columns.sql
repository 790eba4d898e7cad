-- Nothing asks for these.
alter table unit drop column next_number;
alter table station_state drop column step;
alter table station_state drop column accepted_at;
alter table load_test drop column verdict;
drop index load_test_at;
