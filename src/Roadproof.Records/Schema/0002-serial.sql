-- Serial numbers: each running number that was ever taken, and what became of it. Derived from the ledger.
create table serial (
  serial text primary key,
  prefix text    not null,
  year   integer not null,
  number integer not null,
  unit   text    not null,          -- empty where the number was passed over
  state  text    not null check (state in ('issued', 'used', 'void')),
  reason text    not null,
  issued_sequence integer not null,
  unique (prefix, year, number)
) strict;

create index serial_unit on serial (unit);
create index serial_issued on serial (serial) where state = 'issued';
