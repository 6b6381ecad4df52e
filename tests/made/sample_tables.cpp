#include "made/sample_tables.hpp"

#include <cmath>
#include <fstream>
#include <memory>
#include <numbers>
#include <stdexcept>

#include <fmt/format.h>
#include <proj.h>

#include "made/noise.hpp"
#include "support/push_story.hpp"

namespace sondeline::made {

namespace {

constexpr double metres_per_foot = 0.3048;
constexpr double degrees_per_rad = 180.0 / std::numbers::pi;

struct PjCloser {
    void operator()(PJ* pj) const { proj_destroy(pj); }
};

// From ground metres of the site to the map and to degrees, straight through PROJ.
class Mapping {
  public:
    explicit Mapping(const SampleSite& site) : site_(site) {
        std::unique_ptr<PJ, PjCloser> plain(
            proj_create_crs_to_crs(PJ_DEFAULT_CTX, "EPSG:4326", "EPSG:32615", nullptr));
        if (!plain) throw std::runtime_error("no UTM zone 15N");
        utm_.reset(proj_normalize_for_visualization(PJ_DEFAULT_CTX, plain.get()));
        const std::unique_ptr<PJ, PjCloser> crs(proj_create(PJ_DEFAULT_CTX, "EPSG:32615"));
        const PJ_COORD at = degrees(site.origin_e_m, site.origin_n_m);
        const PJ_COORD at_rad =
            proj_coord(at.xy.x / degrees_per_rad, at.xy.y / degrees_per_rad, 0.0, 0.0);
        const PJ_FACTORS factors = proj_factors(crs.get(), at_rad);
        scale_ = factors.meridional_scale;
        convergence_rad_ = factors.meridian_convergence;
    }

    double easting(double e_m) const { return site_.origin_e_m + scale_ * e_m; }
    double northing(double n_m) const { return site_.origin_n_m + scale_ * n_m; }
    std::string lon_lat(double e_m, double n_m) const {
        const PJ_COORD at = degrees(easting(e_m), northing(n_m));
        return fmt::format("{:.7f},{:.7f}", at.xy.x, at.xy.y);
    }
    // A grid heading as the receiver shows it: degrees from true north, either way along the pipe.
    double shown_heading(double grid_rad, double error_rad) const {
        const double degrees = (grid_rad + convergence_rad_ + error_rad) * degrees_per_rad;
        return std::fmod(std::fmod(degrees, 180.0) + 180.0, 180.0);
    }

  private:
    PJ_COORD degrees(double easting, double northing) const {
        return proj_trans(utm_.get(), PJ_INV, proj_coord(easting, northing, 0.0, 0.0));
    }

    const SampleSite& site_;
    std::unique_ptr<PJ, PjCloser> utm_;
    double scale_ = 1.0;
    double convergence_rad_ = 0.0;
};

// One flag on the lawn.
struct Flag {
    std::string id;
    const SampleRun* run = nullptr;
    double shown_ft = 0.0;
    PlaceInPipe truth;  // of the transmitter
};

std::vector<Flag> flags_of(const SampleSite& site) {
    std::vector<Flag> flags;
    for (const SampleRun& run : site.runs) {
        for (const double pushed_ft : run.holds_ft) {
            const double lens_m = pushed_ft * metres_per_foot * site.reel_scale;
            Flag flag;
            flag.id = fmt::format("F{}", flags.size() + 1);
            flag.run = &run;
            flag.shown_ft = pushed_ft + run.shown_at_start_ft;
            flag.truth = place_at(run.pipe, lens_m - site.setback_m);
            flags.push_back(flag);
        }
    }
    return flags;
}

std::string feet_and_inches(double metres) {
    const double inches = std::round(metres / 0.0254 * 2.0) / 2.0;
    const int feet = static_cast<int>(inches / 12.0);
    return fmt::format("{}' {:g}\"\"", feet, inches - 12.0 * feet);
}

void write(const std::filesystem::path& file, const std::string& text) {
    std::ofstream out(file, std::ios::binary);
    out << text;
    if (!out.flush()) throw std::runtime_error("cannot write " + file.string());
}

std::string structures_table(const SampleSite& site, const Mapping& mapping, Noise& noise) {
    std::string text = "id,kind,lon,lat,h accuracy (m),capacity,note\n";
    for (const SampleStructure& s : site.structures) {
        text += fmt::format("{},{},{},0.03,{},\"{}\"\n", s.id, s.kind,
                            mapping.lon_lat(s.e_m + noise.normal(0.02), s.n_m + noise.normal(0.02)),
                            s.capacity, s.note);
    }
    return text;
}

std::string runs_table(const SampleSite& site, Noise& noise) {
    std::string text =
        "id,footage,kind,from,to,status,diameter (in),material,counter at start,"
        "start invert depth,end invert depth\n";
    const auto depth = [&](double e_m, double n_m, double invert_m) {
        return "\"" + feet_and_inches(ground_m(e_m, n_m) - invert_m + noise.normal(0.003)) + "\"";
    };
    for (const SampleRun& run : site.runs) {
        const PlaceInPipe end = place_at(run.pipe, run.pipe.length_m);
        const bool start_shown = run.shown_at_start_ft > 0.0;
        text += fmt::format("{},{},{},{},{},{},4,{},{},{},{}\n", run.id, run.clip, run.kind,
                            run.from, run.to, run.status, run.material,
                            start_shown ? fmt::format("{:.1f}", run.shown_at_start_ft) : "",
                            depth(run.pipe.start_e_m, run.pipe.start_n_m, run.pipe.start_invert_m),
                            run.to.empty() ? "" : depth(end.e_m, end.n_m, end.invert_m));
    }
    return text;
}

// F17 was typed with two digits of the longitude exchanged.
constexpr const char* mistyped_flag = "F17";
// F9 was written down by the recorder's time instead of the counter.
constexpr const char* timed_flag = "F9";

// Half way into the hold at a pushed distance, by the push story that the clip is made from.
double seconds_into_clip(const SampleSite& site, const SampleRun& run, double pushed_ft) {
    constexpr double states_per_s = 15.0;
    constexpr double half_hold_s = 1.3;
    const double station_m = pushed_ft * metres_per_foot * site.reel_scale;
    for (const support::HeadState& state :
         support::tell_story(scenario_of(site, run), states_per_s)) {
        if (state.station_m >= station_m - 1e-9) return state.time_s + half_hold_s;
    }
    throw std::logic_error("the story never gets there");
}

std::string fixes_table(const SampleSite& site, const std::vector<Flag>& flags,
                        const Mapping& mapping, Noise& noise) {
    std::string text =
        "id,run,counter,video time,lon,lat,h accuracy (m),depth (in),heading,method\n";
    for (const Flag& flag : flags) {
        double e_m = flag.truth.e_m + noise.normal(0.06);
        double n_m = flag.truth.n_m + noise.normal(0.06);
        if (flag.id == mistyped_flag) {
            e_m += 0.4;
            n_m -= 1.7;
        }
        const double depth_m = ground_m(flag.truth.e_m, flag.truth.n_m) - flag.truth.invert_m -
                               site.diameter_m / 2.0 + 0.015 + noise.normal(0.035);
        const double heading =
            mapping.shown_heading(flag.truth.heading_rad, noise.normal(4.0 / degrees_per_rad));
        const bool timed = flag.id == timed_flag;
        text += fmt::format(
            "{},{},{},{},{},0.06,{:.1f},{:.0f},sonde\n", flag.id, flag.run->id,
            timed ? "" : fmt::format("{:.1f}", flag.shown_ft),
            timed ? fmt::format("{:.1f}",
                                seconds_into_clip(site, *flag.run,
                                                  flag.shown_ft - flag.run->shown_at_start_ft))
                  : "",
            mapping.lon_lat(e_m, n_m), depth_m / 0.0254, heading);
    }
    return text;
}

// Two setups from the nail, every flag and lid shot, closed on the nail.
std::string levels_table(const SampleSite& site, const std::vector<Flag>& flags, Noise& noise) {
    constexpr double nail_m = 100.0 * metres_per_foot;
    std::string text = "setup,point,backsight,foresight,elevation\n";
    const auto reading = [&](double instrument_m, double point_m) {
        return (instrument_m - point_m) / metres_per_foot + noise.normal(0.004);
    };
    const double first_m = nail_m + 1.52;
    const double turning_m = nail_m - 0.31;
    const double second_m = turning_m + 1.44;
    text += fmt::format("1,BM,{:.2f},,100.00\n", reading(first_m, nail_m));
    for (const SampleStructure& s : site.structures) {
        if (s.kind == "reference") continue;
        text += fmt::format("1,{},,{:.2f},\n", s.id, reading(first_m, ground_m(s.e_m, s.n_m)));
    }
    const std::size_t half = flags.size() / 2;
    for (std::size_t i = 0; i < half; ++i) {
        text += fmt::format("1,{},,{:.2f},\n", flags[i].id,
                            reading(first_m, ground_m(flags[i].truth.e_m, flags[i].truth.n_m)));
    }
    text += fmt::format("1,TP1,,{:.2f},\n2,TP1,{:.2f},,\n", reading(first_m, turning_m),
                        reading(second_m, turning_m));
    for (std::size_t i = half; i < flags.size(); ++i) {
        text += fmt::format("2,{},,{:.2f},\n", flags[i].id,
                            reading(second_m, ground_m(flags[i].truth.e_m, flags[i].truth.n_m)));
    }
    return text + fmt::format("2,BM,,{:.2f},\n", reading(second_m, nail_m));
}

double counted_ft(const SampleSite& site, double station_m) {
    return station_m / (metres_per_foot * site.reel_scale);
}

std::string notes_table(const SampleSite& site) {
    std::string text = "run,counter,to counter,what,category,severity\n";
    for (const SampleRun& run : site.runs) {
        const auto shown = [&](double station_m) {
            return counted_ft(site, station_m) + run.shown_at_start_ft;
        };
        for (const Sag& sag : run.pipe.sags) {
            std::vector<double> stations;
            for (double s = 0.0; s < run.pipe.length_m; s += 0.05) stations.push_back(s);
            const std::vector<double> depths = standing_water_m(run.pipe, stations);
            double first_m = sag.middle_m, last_m = sag.middle_m, deepest_m = 0.0;
            for (std::size_t i = 0; i < stations.size(); ++i) {
                if (depths[i] < 0.004) continue;
                if (deepest_m == 0.0) first_m = stations[i];
                last_m = stations[i];
                deepest_m = std::max(deepest_m, depths[i]);
            }
            text += fmt::format(
                "{},{:.1f},{:.1f},water stands across the bottom,standing water,"
                "{:g} in\n",
                run.id, shown(first_m), shown(last_m), std::round(deepest_m / 0.0254 * 4.0) / 4.0);
        }
        for (const Turn& turn : run.pipe.turns) {
            if (std::abs(turn.turn_rad) > 0.1) {
                text += fmt::format("{},{:.1f},,bend to the left,fitting,\n", run.id,
                                    shown(turn.station_m));
            }
        }
        for (const double root_m : run.roots_m) {
            text +=
                fmt::format("{},{:.1f},,fine roots at a joint,root,light\n", run.id, shown(root_m));
        }
        text += fmt::format("{},{:.1f},,{},{},\n", run.id, shown(run.pipe.length_m),
                            run.capped       ? "glued cap"
                            : run.to.empty() ? "end of pipe"
                                             : "next structure",
                            run.capped ? "cap" : "end");
    }
    return text;
}

std::string records_table() {
    return "document,dated,item,of,value,unit\n"
           "permit drawing,1987-06,total trench length,,180,ft\n"
           "permit drawing,1987-06,number of laterals,,3,\n"
           "permit drawing,1987-06,tank capacity,,1000,gal\n"
           "permit drawing,1987-06,run length,EL,58,ft\n"
           "permit drawing,1987-06,install year,,1987,\n";
}

std::string load_test_table() {
    return "step,clock,volume,seconds,point,level (in),note\n"
           "bucket,,5 gal,36,,,garden hose\n"
           "bucket,,5 gal,37,,,\n"
           "start water,13:02,,,,,into the tank outlet\n"
           "levels,13:06,,,port L1,0.5,\n"
           "levels,13:06,,,port L2,0.25,\n"
           "levels,13:06,,,port L3,0,capped\n"
           "levels,13:30,,,port L1,1.25,\n"
           "levels,13:30,,,port L2,0.5,\n"
           "levels,13:30,,,port L3,0,capped\n"
           "stop water,13:32,,,,,\n";
}

std::string job_table() {
    return "key,value\n"
           "site,Old house by the walnut row\n"
           "date,2026-05-14\n"
           "prepared by,field crew 2\n"
           "prepared for,the owner\n"
           "length unit,ft\n"
           "utc offset,-05:00\n"
           "vertical datum,local\n"
           "sonde setback,6 in\n"
           "design flow,450 gal/day\n";
}

}  // namespace

void write_sample_tables(const SampleSite& site, const std::filesystem::path& folder) {
    const Mapping mapping(site);
    const std::vector<Flag> flags = flags_of(site);
    Noise noise(20260514);
    write(folder / "job.csv", job_table());
    write(folder / "structures.csv", structures_table(site, mapping, noise));
    write(folder / "runs.csv", runs_table(site, noise));
    write(folder / "fixes.csv", fixes_table(site, flags, mapping, noise));
    write(folder / "levels.csv", levels_table(site, flags, noise));
    write(folder / "notes.csv", notes_table(site));
    write(folder / "records.csv", records_table());
    write(folder / "loadtest.csv", load_test_table());
}

void write_sample_truth(const SampleSite& site, const std::filesystem::path& folder) {
    const Mapping mapping(site);
    std::string runs = "run,counted_ft,length_m,turns\n";
    for (const SampleRun& run : site.runs) {
        std::string line = "station_m,easting_m,northing_m,invert_m\n";
        for (int i = 0; i * 0.1 < run.pipe.length_m; ++i) {
            const PlaceInPipe place = place_at(run.pipe, i * 0.1);
            line +=
                fmt::format("{:.1f},{:.4f},{:.4f},{:.4f}\n", i * 0.1, mapping.easting(place.e_m),
                            mapping.northing(place.n_m), place.invert_m);
        }
        write(folder / (run.id + ".csv"), line);
        runs += fmt::format("{},{:.4f},{:.4f},{}\n", run.id, counted_ft(site, run.pipe.length_m),
                            run.pipe.length_m, run.pipe.turns.size());
    }
    write(folder / "runs.csv", runs);
}

}  // namespace sondeline::made
