-- The writing: take(keys, boxes). Whoever carries boxes calls it; every call may be repeated.
--
-- Two callers at once never deadlock over boxes: all lock in the order of station, kind, key.

-- Stations that were never heard before.
CREATE FUNCTION meet(keys text[]) RETURNS void LANGUAGE sql SET search_path = naupliad, pg_temp AS $$
    INSERT INTO station (key, first_heard, last_heard)
    SELECT DISTINCT one.key COLLATE "C", now(), now() FROM unnest(keys) AS one (key)
    WHERE one.key ~ '^[a-z0-9-]{1,40}$' AND NOT EXISTS (SELECT FROM station WHERE station.key = one.key)
    ORDER BY 1
    ON CONFLICT (key) DO NOTHING
$$;

-- Sets aside what cannot be read (its_payload) or stored (its_box).
CREATE FUNCTION refuse(of_key text, why text, its_payload bytea, its_box jsonb) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = naupliad, pg_temp AS $$
BEGIN
    PERFORM meet(ARRAY[of_key]);
    INSERT INTO refused (key, reason, payload, box)
    VALUES (left(of_key, 200), left(why, 500), its_payload, its_box);
    -- A station that sends nothing else fills no disk: its newest thousand are kept.
    DELETE FROM refused WHERE key = left(of_key, 200) AND id <= (
        SELECT id FROM refused WHERE key = left(of_key, 200) ORDER BY id DESC OFFSET 1000 LIMIT 1
    );
END $$;

-- Unix seconds, as a station may write them (up to the year 2242): no view has to reckon with others.
CREATE FUNCTION moment(said jsonb, name text) RETURNS timestamptz LANGUAGE plpgsql IMMUTABLE STRICT
SET search_path = naupliad, pg_temp AS $$
BEGIN
    IF abs((said ->> name)::bigint) > 8589934592 THEN
        RAISE EXCEPTION '%: found %; allowed: -8589934592 to 8589934592', name, said ->> name
            USING ERRCODE = 'invalid_parameter_value';
    END IF;
    RETURN to_timestamp((said ->> name)::bigint);
END $$;

-- The codes of hour.quality are places in this list, from 0 on; new words are put at its end.
CREATE FUNCTION quality_words() RETURNS text[] LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
    SELECT ARRAY['good', 'absent', 'crc', 'reset', 'range', 'jump', 'stuck', 'in-air']
$$;

-- One word for all, or a word a reading, as codes; NULL where all are good. A word that is not known stays
-- NULL in the list, and the table refuses it.
CREATE FUNCTION quality_codes(said jsonb, readings integer) RETURNS smallint[] LANGUAGE sql IMMUTABLE
SET search_path = naupliad, pg_temp AS $$
    SELECT CASE
        WHEN said = '"good"' THEN NULL
        WHEN jsonb_typeof(said) = 'string'
            THEN array_fill((array_position(quality_words(), said #>> '{}') - 1)::smallint, ARRAY[readings])
        ELSE ARRAY(
            SELECT (array_position(quality_words(), word) - 1)::smallint
            FROM jsonb_array_elements_text(said) WITH ORDINALITY AS one (word, i) ORDER BY i
        )
    END
$$;

CREATE FUNCTION take_hour(of_station integer, its_n bigint, said jsonb) RETURNS void
LANGUAGE plpgsql SET search_path = naupliad, pg_temp AS $$
DECLARE
    began timestamptz := moment(said, 'at');
BEGIN
    IF (said ->> 'at')::bigint % 3600 <> 0 THEN
        RAISE EXCEPTION 'at: found %; allowed: the begin of an hour', said ->> 'at'
            USING ERRCODE = 'invalid_parameter_value';
    END IF;
    INSERT INTO hour_box (station, at, n) VALUES (of_station, began, its_n)
    ON CONFLICT (station, at) DO NOTHING;
    IF NOT FOUND THEN
        UPDATE hour_box SET n = its_n WHERE station = of_station AND at = began AND n < its_n;
        IF NOT FOUND THEN
            RETURN;
        END IF;
        DELETE FROM hour WHERE station = of_station AND at = began;
    END IF;
    INSERT INTO hour (station, at, probe, n, every_s, first, second, value, quality, measure, vessel)
    SELECT
        of_station, began, probe, its_n, (said ->> 'every_s')::integer,
        (its ->> 'first')::smallint,
        -- JSON's lists of numbers are PostgreSQL's but for their brackets.
        translate(its ->> 'seconds', '[]', '{}')::smallint[],
        translate(its ->> 'values', '[]', '{}')::real[],
        quality_codes(its -> 'quality', jsonb_array_length(its -> 'values')),
        its ->> 'measure', its ->> 'vessel'
    FROM jsonb_each(CASE WHEN said -> 'gone' = 'true' THEN '{}' ELSE said -> 'probes' END) AS one (probe, its);
    IF said -> 'probes' IS NULL AND said -> 'gone' IS DISTINCT FROM 'true' THEN
        RAISE EXCEPTION 'probes: found nothing; allowed: the probes of the hour'
            USING ERRCODE = 'invalid_parameter_value';
    END IF;
END $$;

CREATE FUNCTION take_estimate(of_station integer, its_n bigint, said jsonb) RETURNS void
LANGUAGE sql SET search_path = naupliad, pg_temp AS $$
    INSERT INTO estimate AS kept (station, at, n, vessels)
    VALUES (
        of_station, moment(said, 'at'), its_n,
        CASE WHEN said -> 'gone' = 'true' THEN '{}' ELSE said -> 'vessels' END
    )
    ON CONFLICT (station, at) DO UPDATE SET n = excluded.n, vessels = excluded.vessels
    WHERE excluded.n > kept.n
$$;

CREATE FUNCTION take_deed(of_station integer, of_store bigint, its_n bigint, said jsonb) RETURNS void
LANGUAGE sql SET search_path = naupliad, pg_temp AS $$
    INSERT INTO deed AS kept (
        station, store, id, n, gone, at, vessel, deed, amount, unit, detail, recorded_at, withdrawn_at, replaces
    )
    VALUES (
        of_station, of_store, (said ->> 'id')::bigint, its_n, coalesce(said -> 'gone' = 'true', false),
        moment(said, 'at'), said ->> 'vessel', said ->> 'deed', (said ->> 'amount')::double precision,
        said ->> 'unit', said -> 'detail', moment(said, 'recorded_at'), moment(said, 'withdrawn_at'),
        (said ->> 'replaces')::bigint
    )
    ON CONFLICT (station, store, id) DO UPDATE SET
        n = excluded.n, gone = excluded.gone, at = excluded.at, vessel = excluded.vessel,
        deed = excluded.deed, amount = excluded.amount, unit = excluded.unit, detail = excluded.detail,
        recorded_at = excluded.recorded_at, withdrawn_at = excluded.withdrawn_at, replaces = excluded.replaces
    WHERE excluded.n > kept.n
$$;

CREATE FUNCTION take_letter(of_station integer, of_store bigint, its_n bigint, said jsonb) RETURNS void
LANGUAGE sql SET search_path = naupliad, pg_temp AS $$
    INSERT INTO letter AS kept (
        station, store, id, n, gone, at, kind, state, number, sent_at, attempts, deliveries
    )
    SELECT
        of_station, of_store, (said ->> 'id')::bigint, its_n, coalesce(said -> 'gone' = 'true', false),
        moment(said, 'at'), said ->> 'letter', said ->> 'state', (said ->> 'number')::bigint,
        moment(said, 'sent_at'), coalesce(max((one ->> 'attempts')::integer), 0), said -> 'deliveries'
    FROM (SELECT) AS this LEFT JOIN jsonb_array_elements(said -> 'deliveries') AS one ON true
    ON CONFLICT (station, store, id) DO UPDATE SET
        n = excluded.n, gone = excluded.gone, at = excluded.at, kind = excluded.kind, state = excluded.state,
        number = excluded.number, sent_at = excluded.sent_at, attempts = excluded.attempts,
        deliveries = excluded.deliveries
    WHERE excluded.n > kept.n
$$;

CREATE FUNCTION state_anew(of_station integer, of_vessel text, of_condition text, of_probe text) RETURNS void
LANGUAGE sql SET search_path = naupliad, pg_temp AS $$
    DELETE FROM state
    WHERE station = of_station AND vessel = of_vessel AND condition = of_condition AND probe = of_probe;
    INSERT INTO state (station, vessel, condition, probe, store, id, n, at, state, value, since)
    SELECT station, vessel, condition, probe, store, id, n, at, state, value, since
    FROM alarm
    WHERE station = of_station AND vessel = of_vessel AND condition = of_condition AND probe = of_probe
    ORDER BY store DESC, at DESC, id DESC LIMIT 1;
$$;

CREATE FUNCTION take_alarm(of_station integer, of_store bigint, its_n bigint, said jsonb) RETURNS void
LANGUAGE plpgsql SET search_path = naupliad, pg_temp AS $$
DECLARE
    before alarm;
BEGIN
    -- Two that tell of one alarm at the same time would each overlook the other's.
    PERFORM pg_advisory_xact_lock(7237, of_station);
    SELECT * INTO before FROM alarm
    WHERE station = of_station AND store = of_store AND id = (said ->> 'id')::bigint;
    INSERT INTO alarm AS kept (
        station, store, id, n, gone, at, vessel, condition, probe, state, value, since
    )
    VALUES (
        of_station, of_store, (said ->> 'id')::bigint, its_n, coalesce(said -> 'gone' = 'true', false),
        moment(said, 'at'), said ->> 'vessel', said ->> 'condition', said ->> 'probe', said ->> 'state',
        (said ->> 'value')::double precision, moment(said, 'since')
    )
    ON CONFLICT (station, store, id) DO UPDATE SET
        n = excluded.n, gone = excluded.gone, at = excluded.at, vessel = excluded.vessel,
        condition = excluded.condition, probe = excluded.probe, state = excluded.state,
        value = excluded.value, since = excluded.since
    WHERE excluded.n > kept.n;
    IF NOT FOUND THEN
        RETURN;
    END IF;
    PERFORM state_anew(of_station, said ->> 'vessel', said ->> 'condition', said ->> 'probe');
    PERFORM state_anew(of_station, before.vessel, before.condition, before.probe);
END $$;

-- All of them, or an error that says which field of one is wrong.
CREATE FUNCTION take_all(keys text[], boxes jsonb[]) RETURNS void
LANGUAGE plpgsql SET search_path = naupliad, pg_temp AS $$
DECLARE
    told record;
BEGIN
    FOR told IN
        -- Of what is gone nothing but its key may stay.
        SELECT station.station, one.key,
            CASE
                WHEN one.said -> 'gone' = 'true' THEN one.said - ARRAY[
                    'vessel', 'deed', 'amount', 'unit', 'detail', 'recorded_at', 'withdrawn_at', 'replaces',
                    'condition', 'probe', 'state', 'value', 'since', 'letter', 'number', 'sent_at', 'deliveries'
                ] - CASE WHEN one.said ? 'id' THEN 'at' ELSE '' END
                ELSE one.said
            END AS said, one.said ->> 'kind' AS kind, (one.said ->> 'n')::bigint AS n,
            coalesce((one.said ->> 'store')::bigint, 0) AS store
        FROM unnest(keys, boxes) AS one (key, said) LEFT JOIN station USING (key)
        ORDER BY station.station, kind, store, coalesce(one.said ->> 'id', one.said ->> 'at'), n
    LOOP
        IF told.station IS NULL OR told.n IS NULL OR told.n < 1 OR told.said ->> 'v' IS DISTINCT FROM '1' THEN
            RAISE EXCEPTION 'found a box of % with v % and n %; allowed: a station''s key, 1, a number from 1',
                coalesce(told.key, 'nobody'), coalesce(told.said ->> 'v', 'nothing'), coalesce(told.n::text, 'nothing')
                USING ERRCODE = 'invalid_parameter_value';
        END IF;
        CASE told.kind
            WHEN 'hour' THEN PERFORM take_hour(told.station, told.n, told.said);
            WHEN 'estimate' THEN PERFORM take_estimate(told.station, told.n, told.said);
            WHEN 'deed' THEN PERFORM take_deed(told.station, told.store, told.n, told.said);
            WHEN 'letter' THEN PERFORM take_letter(told.station, told.store, told.n, told.said);
            WHEN 'alarm' THEN PERFORM take_alarm(told.station, told.store, told.n, told.said);
            ELSE RAISE EXCEPTION 'kind: found %; allowed: hour, estimate, deed, letter, alarm', told.kind
                USING ERRCODE = 'invalid_parameter_value';
        END CASE;
    END LOOP;
END $$;

-- Each of them, or in the table refused; returns how many were refused.
CREATE FUNCTION take_or_refuse(keys text[], boxes jsonb[]) RETURNS integer
LANGUAGE plpgsql SET search_path = naupliad, pg_temp AS $$
DECLARE
    told record;
    trouble text;
    bad integer := 0;
BEGIN
    PERFORM take_all(keys, boxes);
    RETURN 0;
EXCEPTION
    WHEN data_exception OR integrity_constraint_violation OR program_limit_exceeded OR feature_not_supported
    THEN
        -- One of them is bad: each by itself, in the same order.
        FOR told IN
            SELECT one.key, one.said FROM unnest(keys, boxes) AS one (key, said) LEFT JOIN station USING (key)
            ORDER BY station.station, one.said ->> 'kind', one.said ->> 'store',
                coalesce(one.said ->> 'id', one.said ->> 'at'), one.said ->> 'n'
        LOOP
            BEGIN
                PERFORM take_all(ARRAY[told.key], ARRAY[told.said]);
            EXCEPTION
                WHEN data_exception OR integrity_constraint_violation OR program_limit_exceeded
                    OR feature_not_supported
                THEN
                    GET STACKED DIAGNOSTICS trouble = MESSAGE_TEXT;
                    PERFORM refuse(coalesce(told.key, ''), trouble, NULL, told.said);
                    bad := bad + 1;
            END;
        END LOOP;
        RETURN bad;
END $$;

-- Stores boxes, told by the stations with these keys; returns how many were refused (table refused).
CREATE FUNCTION take(keys text[], boxes jsonb[]) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER SET search_path = naupliad, pg_temp AS $$
DECLARE
    bad integer;
BEGIN
    PERFORM meet(keys);
    bad := take_or_refuse(keys, boxes);
    -- Last, and in order: who has locked a station has nothing left to wait for.
    WITH heard AS (
        SELECT station.station FROM station WHERE station.key = ANY (keys)
        ORDER BY station.station FOR NO KEY UPDATE
    ), newest AS (
        SELECT one.key, max((one.said ->> 'n')::bigint) AS n, max((one.said ->> 'store')::bigint) AS store
        FROM unnest(keys, boxes) AS one (key, said)
        WHERE jsonb_typeof(one.said -> 'n') = 'number' AND one.said ->> 'n' ~ '^[0-9]{1,18}$'
            AND coalesce(one.said ->> 'store', '0') ~ '^[0-9]{1,18}$'
        GROUP BY one.key
    )
    UPDATE station SET
        first_heard = coalesce(first_heard, now()), last_heard = now(),
        last_n = greatest(last_n, newest.n), store = greatest(station.store, newest.store)
    FROM heard, newest
    WHERE station.station = heard.station AND station.key = newest.key;
    RETURN bad;
END $$;

-- Tries what was refused once more, after this database has learned of it; returns how many still are.
CREATE FUNCTION take_again() RETURNS integer
LANGUAGE plpgsql SET search_path = naupliad, pg_temp AS $$
DECLARE
    tried record;
    bad integer := 0;
BEGIN
    FOR tried IN DELETE FROM refused WHERE box IS NOT NULL RETURNING key, box LOOP
        bad := bad + take_or_refuse(ARRAY[tried.key], ARRAY[tried.box]);
    END LOOP;
    RETURN bad;
END $$;
