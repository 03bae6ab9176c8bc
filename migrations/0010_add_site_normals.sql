-- What else is known of a site's usual year, by month, January first; or
-- empty. Daily maximum and minimum come as a pair.
ALTER TABLE site
    ADD COLUMN max_temp_c   double precision[] NOT NULL DEFAULT '{}', -- mean daily maximum
    ADD COLUMN min_temp_c   double precision[] NOT NULL DEFAULT '{}', -- mean daily minimum
    ADD COLUMN sunshine_h   double precision[] NOT NULL DEFAULT '{}', -- of the month
    ADD COLUMN cloud_pct    double precision[] NOT NULL DEFAULT '{}', -- mean cover
    ADD COLUMN humidity_pct double precision[] NOT NULL DEFAULT '{}', -- mean relative humidity

    ADD CONSTRAINT site_max_temp_c   CHECK (
        cardinality(max_temp_c) IN (0, 12)
        AND coalesce(array_ndims(max_temp_c), 1) = 1
        AND array_position(max_temp_c, NULL) IS NULL
        AND -70 <= ALL (max_temp_c) AND 60 >= ALL (max_temp_c)
    ),
    ADD CONSTRAINT site_min_temp_c   CHECK (
        cardinality(min_temp_c) IN (0, 12)
        AND coalesce(array_ndims(min_temp_c), 1) = 1
        AND array_position(min_temp_c, NULL) IS NULL
        AND -80 <= ALL (min_temp_c) AND 50 >= ALL (min_temp_c)
    ),
    ADD CONSTRAINT site_temp_pair    CHECK (cardinality(max_temp_c) = cardinality(min_temp_c)),
    ADD CONSTRAINT site_sunshine_h   CHECK (
        cardinality(sunshine_h) IN (0, 12)
        AND coalesce(array_ndims(sunshine_h), 1) = 1
        AND array_position(sunshine_h, NULL) IS NULL
        AND 0 <= ALL (sunshine_h) AND 775 >= ALL (sunshine_h)
    ),
    ADD CONSTRAINT site_cloud_pct    CHECK (
        cardinality(cloud_pct) IN (0, 12)
        AND coalesce(array_ndims(cloud_pct), 1) = 1
        AND array_position(cloud_pct, NULL) IS NULL
        AND 0 <= ALL (cloud_pct) AND 100 >= ALL (cloud_pct)
    ),
    ADD CONSTRAINT site_humidity_pct CHECK (
        cardinality(humidity_pct) IN (0, 12)
        AND coalesce(array_ndims(humidity_pct), 1) = 1
        AND array_position(humidity_pct, NULL) IS NULL
        AND 1 <= ALL (humidity_pct) AND 100 >= ALL (humidity_pct)
    );
