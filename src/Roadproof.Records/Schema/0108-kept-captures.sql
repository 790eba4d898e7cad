-- Retention looks at the captures that are still kept, after every run.
create index capture_ref_kept on capture_ref (unit, step, attempt) where state = 'kept';
