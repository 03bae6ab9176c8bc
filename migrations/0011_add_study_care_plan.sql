-- How often a study wants its vehicles cared for and checked, in days; NULL
-- where the study doesn't ask for it. The defaults are those that the program
-- gives a new study, and are here for studies made before there was a plan.
ALTER TABLE study
    ADD COLUMN wash_every_days       smallint DEFAULT 45,
    ADD COLUMN iron_every_days       smallint DEFAULT 105,
    ADD COLUMN decon_every_days      smallint DEFAULT 165,
    ADD COLUMN salt_decon_every_days smallint DEFAULT 90,  -- in the salt season
    ADD COLUMN checkup_every_days    smallint DEFAULT 90,

    ADD CONSTRAINT study_wash_every_days       CHECK (wash_every_days BETWEEN 7 AND 1000),
    ADD CONSTRAINT study_iron_every_days       CHECK (iron_every_days BETWEEN 7 AND 1000),
    ADD CONSTRAINT study_decon_every_days      CHECK (decon_every_days BETWEEN 7 AND 1000),
    ADD CONSTRAINT study_salt_decon_every_days CHECK (salt_decon_every_days BETWEEN 7 AND 1000),
    ADD CONSTRAINT study_checkup_every_days    CHECK (checkup_every_days BETWEEN 7 AND 1000);

-- An iron remover on its own, which is less than a decontamination wash.
ALTER TABLE care DROP CONSTRAINT care_kind;
ALTER TABLE care ADD CONSTRAINT care_kind CHECK (kind IN (
    'maintenance_wash', 'iron_remover', 'decon_wash', 'topper', 'polish', 'clay',
    'polish_through', 'film_replaced', 'repaint', 'recoat', 'sold', 'lost'
));
