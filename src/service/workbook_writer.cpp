#include "service/workbook_writer.hpp"

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

namespace sondeline {

namespace {

// A file in memory, gone when this is.
struct MemoryFile {
    std::string name;
    ~MemoryFile() { VSIUnlink(name.c_str()); }
};

bool fill(GDALDataset& workbook, const TableToFill& table) {
    OGRLayer* sheet = workbook.CreateLayer(table.name.c_str(), nullptr, wkbNone, nullptr);
    if (sheet == nullptr) return false;
    for (const std::string& column : table.header) {
        OGRFieldDefn field(column.c_str(), OFTString);
        if (sheet->CreateField(&field) != OGRERR_NONE) return false;
    }
    for (const auto& cells : table.rows) {
        OGRFeature row(sheet->GetLayerDefn());
        for (std::size_t i = 0; i < cells.size(); ++i) {
            if (!cells[i].empty()) row.SetField(static_cast<int>(i), cells[i].c_str());
        }
        if (sheet->CreateFeature(&row) != OGRERR_NONE) return false;
    }
    return true;
}

}  // namespace

std::optional<std::string> workbook_bytes(const std::vector<TableToFill>& tables) {
    RegisterOGRXLSX();
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("XLSX");
    if (driver == nullptr) return std::nullopt;
    CPLErrorHandlerPusher silent(CPLQuietErrorHandler);
    const MemoryFile file{"/vsimem/sondeline-tables.xlsx"};
    GDALDatasetUniquePtr workbook(driver->Create(file.name.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    if (!workbook) return std::nullopt;
    for (const TableToFill& table : tables) {
        if (!fill(*workbook, table)) return std::nullopt;
    }
    CPLErrorReset();
    workbook.reset();  // writes
    if (CPLGetLastErrorType() == CE_Failure) return std::nullopt;
    vsi_l_offset size = 0;
    const GByte* bytes = VSIGetMemFileBuffer(file.name.c_str(), &size, FALSE);
    if (bytes == nullptr) return std::nullopt;
    return std::string(reinterpret_cast<const char*>(bytes), static_cast<std::size_t>(size));
}

}  // namespace sondeline
