-- A partition a month, made ahead; returns how many were made.
--
-- Made apart and then attached: that stops neither those who read nor those who write, but for what lies in
-- no month. Where somebody is in the way it gives up: there are months of time left.
CREATE FUNCTION make_months(ahead integer) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER
SET search_path = naupliad, pg_temp SET timezone = 'UTC' SET lock_timeout = '5s' AS $$
DECLARE
    parent text;
    part text;
    begins timestamptz;
    made integer := 0;
BEGIN
    PERFORM pg_advisory_xact_lock(7238);
    FOREACH parent IN ARRAY ARRAY['hour', 'estimate'] LOOP
        FOR i IN -1..ahead LOOP
            begins := date_trunc('month', now()) + make_interval(months => i);
            part := parent || to_char(begins, '_YYYY_MM');
            CONTINUE WHEN to_regclass(format('naupliad.%I', part)) IS NOT NULL;
            EXECUTE format('CREATE TABLE %I (LIKE %I INCLUDING DEFAULTS INCLUDING CONSTRAINTS)', part, parent);
            EXECUTE format('LOCK TABLE %I IN ACCESS EXCLUSIVE MODE', parent || '_other');
            EXECUTE format(
                'WITH moved AS (DELETE FROM %I WHERE at >= $1 AND at < $2 RETURNING *) '
                'INSERT INTO %I SELECT * FROM moved',
                parent || '_other', part
            ) USING begins, begins + interval '1 month';
            EXECUTE format(
                'ALTER TABLE %I ATTACH PARTITION %I FOR VALUES FROM (%L) TO (%L)',
                parent, part, begins, begins + interval '1 month'
            );
            made := made + 1;
        END LOOP;
    END LOOP;
    RETURN made;
END $$;
