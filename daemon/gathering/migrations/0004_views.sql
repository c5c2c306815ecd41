-- For people and their programs.

-- A row a reading. Who looks for a span names it by `hour` too: months outside it are then not opened.
CREATE VIEW reading AS
SELECT
    station.station, station.key, station.label, hour.probe, hour.measure, hour.vessel, hour.at AS hour,
    hour.at + make_interval(secs => coalesce(one.second, hour.first + (one.i - 1) * hour.every_s)) AS at,
    one.value, (quality_words())[coalesce(one.quality, 0) + 1] AS quality
FROM hour
JOIN station ON station.station = hour.station,
    unnest(hour.value, hour.second, hour.quality) WITH ORDINALITY AS one (value, second, quality, i);

-- A row a quantity.
CREATE VIEW belief AS
SELECT
    station.station, station.key, station.label, estimate.at, one.vessel, of_it.quantity,
    (of_it.p ->> 0)::double precision AS p10, (of_it.p ->> 1)::double precision AS p50,
    (of_it.p ->> 2)::double precision AS p90
FROM estimate
JOIN station ON station.station = estimate.station,
    jsonb_each(estimate.vessels) AS one (vessel, its), jsonb_each(one.its) AS of_it (quantity, p);

-- What cannot wait first; 'post' is a station whose letters do not leave.
CREATE FUNCTION urgency(condition text) RETURNS integer LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
    SELECT coalesce(array_position(ARRAY[
        'hot', 'cold', 'post', 'probe', 'lamp', 'water', 'salinity', 'swing', 'storage', 'clock',
        'hot-ahead', 'cold-ahead', 'lamp-stays-on'
    ], condition), 100)
$$;

CREATE VIEW needs_help AS
SELECT
    station.station, station.key, station.label, state.vessel, state.condition, state.probe, state.state,
    state.value, coalesce(state.since, state.at) AS since, urgency(state.condition) AS urgency
FROM state
JOIN station ON station.station = state.station AND station.store = state.store
WHERE state.state IN ('unacknowledged', 'acknowledged') AND station.retired_at IS NULL
UNION ALL
-- Three tries in vain, or refused for good in the last week (judgement, no source).
SELECT
    station.station, station.key, station.label, '', 'post', '', 'unacknowledged',
    count(*), min(letter.at), urgency('post')
FROM letter
JOIN station ON station.station = letter.station AND station.store = letter.store
WHERE station.retired_at IS NULL AND (
    (letter.state = 'queued' AND letter.attempts >= 3)
    OR (letter.state = 'parked' AND letter.at > now() - interval '7 days')
)
GROUP BY station.station;

-- A station tells of its readings every hour: three hours of silence are no chance.
CREATE VIEW silent AS
SELECT station, key, label, last_heard, now() - last_heard AS silent_for
FROM station
WHERE retired_at IS NULL AND (last_heard IS NULL OR last_heard < now() - interval '3 hours');

CREATE VIEW refusal AS
SELECT
    key, count(*) AS boxes, count(*) FILTER (WHERE received_at > now() - interval '1 day') AS lately,
    max(received_at) AS newest, (array_agg(reason ORDER BY id DESC))[1] AS reason
FROM refused GROUP BY key;
