-- Finds a page of amendments, the latest first, of one state or of all, and
-- counts those that wait.
CREATE INDEX amendment_listed ON amendment (recorded_at, amendment_id);
CREATE INDEX amendment_state ON amendment (state, recorded_at, amendment_id);
CREATE INDEX amendment_proposed ON amendment (vehicle_id) WHERE state = 'proposed';

-- Finds the vehicles of a shop.
CREATE INDEX vehicle_shop_id ON vehicle (shop_id);
