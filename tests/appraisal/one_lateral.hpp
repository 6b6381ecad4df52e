// A job of one lateral whose length, profile and notes are set by hand.
#pragma once

#include "sondeline/appraisal.hpp"

namespace sondeline::made {

struct OneLateral {
    Job job;
    Site site;
    Lines lines;
    Profiles profiles;

    explicit OneLateral(Bounded length_m) {
        site.job_unit = LengthUnit::foot;
        SiteRun run;
        run.id.text = "L1";
        run.kind = RunKind::lateral;
        site.runs.push_back(run);
        AlignedRun aligned;
        aligned.run = run;
        aligned.length_m = figure(length_m);
        lines.runs.push_back(aligned);
        GradedRun graded;
        graded.id = run.id;
        profiles.runs.push_back(graded);
    }

    Appraisal appraised(const QuantityOptions& options = {}) const {
        return appraise(job, site, lines, profiles, options);
    }

    // A stretch that holds water, along a line drawn straight.
    Belly& belly(double from_m, double to_m) {
        Belly made;
        made.from_m = from_m;
        made.to_m = to_m;
        lines.runs[0].scale = {1.0, 0.0};
        profiles.runs[0].bellies.push_back(made);
        return profiles.runs[0].bellies.back();
    }

    void note(NoteCategory category, double x_m) {
        Note row;
        row.run = lines.runs[0].run.id;
        row.category = category;
        job.notes.push_back(row);
        site.notes.push_back({static_cast<int>(job.notes.size()) - 1, 0, x_m, std::nullopt});
    }

    RecordCheck check(RecordItem item, double value) {
        RecordClaim claim;
        claim.item = item;
        claim.value = value;
        claim.as_written = "as written";
        job.records = {claim};
        return appraised().records.front();
    }
};

}  // namespace sondeline::made
