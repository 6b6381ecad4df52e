#include "service/shared_map.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

namespace sondeline {

namespace fs = std::filesystem;

namespace {

bool is_database(const std::string& to) {
    return to.starts_with("PG:") || to.starts_with("postgresql://") ||
           to.starts_with("postgres://");
}

void run_sql(GDALDataset& map, const std::string& statement) {
    CPLErrorReset();
    OGRLayer* result = map.ExecuteSQL(statement.c_str(), nullptr, nullptr);
    if (result != nullptr) map.ReleaseResultSet(result);
    if (CPLGetLastErrorType() >= CE_Failure) map_fails("A step failed");
}

// Without PostGIS, GDAL would keep positions as bytes that no map shows.
void require_postgis(GDALDataset& map) {
    OGRLayer* result =
        map.ExecuteSQL("SELECT 1 FROM pg_extension WHERE extname = 'postgis'", nullptr, nullptr);
    const bool there =
        result != nullptr && OGRFeatureUniquePtr(result->GetNextFeature()) != nullptr;
    if (result != nullptr) map.ReleaseResultSet(result);
    if (!there) {
        throw MapError("The database has no PostGIS. Run in it: CREATE EXTENSION postgis");
    }
}

void add_missing_fields(OGRLayer& layer, const OGRFeatureDefn& like) {
    const auto add = [&](OGRFieldDefn& field) {
        if (layer.GetLayerDefn()->GetFieldIndex(field.GetNameRef()) >= 0) return;
        if (layer.CreateField(&field) != OGRERR_NONE) {
            map_fails(fmt::format("The column {} could not be added", field.GetNameRef()));
        }
    };
    OGRFieldDefn job("job", OFTString);
    add(job);
    for (int i = 0; i < like.GetFieldCount(); ++i) {
        const OGRFieldDefn* source = like.GetFieldDefn(i);
        OGRFieldDefn field(source->GetNameRef(), source->GetType());
        field.SetSubType(source->GetSubType());
        add(field);
    }
}

}  // namespace

void map_fails(const std::string& what) {
    const std::string detail = CPLGetLastErrorMsg();
    throw MapError(detail.empty() ? what + "." : fmt::format("{}: {}", what, detail));
}

std::string quoted_literal(std::string_view text) {
    std::string literal = "'";
    for (const char c : text) {
        literal += c;
        if (c == '\'') literal += c;
    }
    return literal + "'";
}

SharedMap::SharedMap(std::string to, const std::string& crs_of_new)
    : to_(std::move(to)), database_(is_database(to_)) {
    RegisterOGRGeoPackage();
    RegisterOGRPG();
    if (!database_) take_turn();
    open(crs_of_new);
    if (map_->StartTransaction() != OGRERR_NONE) map_fails("The map could not be locked");
    open_ = true;
    // Held until the transaction ends; any number will do that other programs do not take.
    if (database_) run_sql(*map_, "SELECT pg_advisory_xact_lock(7366451, 1)");
}

SharedMap::~SharedMap() {
    if (open_) map_->RollbackTransaction();
}

SharedMap::Turn::~Turn() {
    if (descriptor >= 0) close(descriptor);
}

SharedMap::NewFile::~NewFile() {
    if (!path.empty()) unlink(path.c_str());
}

// A lock beside the file: SQLite's own locks would make a second publisher fail, not wait.
void SharedMap::take_turn() {
    const fs::path file(to_);
    const std::string name = "." + file.filename().string();
    const fs::path lock = file.parent_path() / (name + ".lock");
    turn_.descriptor = ::open(lock.c_str(), O_RDWR | O_CREAT | O_CLOEXEC,
                              S_IRUSR | S_IWUSR | S_IRGRP | S_IWGRP | S_IROTH);
    if (turn_.descriptor < 0) {
        throw MapError(
            fmt::format("The map {} cannot be written to: {}.", to_, std::strerror(errno)));
    }
    while (flock(turn_.descriptor, LOCK_EX) != 0) {
        if (errno != EINTR) throw MapError(fmt::format("The map {} cannot be locked.", to_));
    }
    // What a publisher that was killed left; nobody else makes one while the lock is held.
    const fs::path left = file.parent_path() / (name + ".new");
    for (const char* tail : {"", "-journal", "-wal", "-shm"}) {
        unlink((left.string() + tail).c_str());
    }
}

void SharedMap::open(const std::string& crs_of_new) {
    const char* const drivers[] = {database_ ? "PostgreSQL" : "GPKG", nullptr};
    std::error_code error;
    if (database_ || fs::exists(to_, error)) {
        map_.reset(GDALDataset::Open(to_.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE, drivers, nullptr,
                                     nullptr));
        if (!map_) {
            map_fails(database_ ? "The database could not be opened"
                                : fmt::format("{} is no map that can be added to", to_));
        }
    } else {
        make_file();
    }
    if (database_) require_postgis(*map_);
    OGRLayer* known = map_->GetLayerByName("pipe_runs");
    const OGRSpatialReference* stands = known == nullptr ? nullptr : known->GetSpatialRef();
    if (stands != nullptr) {
        srs_ = *stands;
    } else if (srs_.SetFromUserInput(crs_of_new.empty() ? "EPSG:4326" : crs_of_new.c_str()) !=
               OGRERR_NONE) {
        throw MapError(fmt::format("{} is no coordinate system that is known.", crs_of_new));
    }
    srs_.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
}

// Under a hidden name, so that no reader opens a map without a job.
void SharedMap::make_file() {
    const fs::path file(to_);
    new_file_.path = file.parent_path() / ("." + file.filename().string() + ".new");
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
    if (driver != nullptr) {
        map_.reset(driver->Create(new_file_.path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    }
    if (!map_) map_fails(fmt::format("{} could not be made", to_));
}

OGRLayer& SharedMap::layer(const std::string& name, const OGRFeatureDefn& like) {
    OGRLayer* layer = map_->GetLayerByName(name.c_str());
    if (layer == nullptr) {
        const OGRwkbGeometryType type = like.GetGeomFieldCount() > 0 ? like.GetGeomType() : wkbNone;
        CPLStringList options;
        if (type != wkbNone) options.SetNameValue("GEOMETRY_NAME", "geom");
        options.SetNameValue("FID", "fid");
        layer = map_->CreateLayer(name.c_str(), type == wkbNone ? nullptr : &srs_, type,
                                  options.List());
        if (layer == nullptr) map_fails(fmt::format("The layer {} could not be made", name));
    }
    add_missing_fields(*layer, like);
    return *layer;
}

void SharedMap::commit() {
    CPLErrorReset();
    if (map_->CommitTransaction() != OGRERR_NONE) map_fails("The last step failed");
    open_ = false;
    CPLErrorReset();
    map_.reset();
    if (CPLGetLastErrorType() >= CE_Failure) map_fails("The map could not be closed");
    if (new_file_.path.empty()) return;
    if (renameat2(AT_FDCWD, new_file_.path.c_str(), AT_FDCWD, to_.c_str(), RENAME_NOREPLACE) != 0) {
        throw MapError(
            fmt::format("{} could not be put in its place: {}.", to_, std::strerror(errno)));
    }
    new_file_.path.clear();
}

}  // namespace sondeline
