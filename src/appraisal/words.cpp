#include "sondeline/appraisal.hpp"

namespace sondeline {

std::string_view word(RecordVerdict verdict) {
    switch (verdict) {
        case RecordVerdict::agrees: return "agrees";
        case RecordVerdict::agrees_as_stated: return "agrees as stated";
        case RecordVerdict::short_of: return "short";
        case RecordVerdict::longer: return "long";
        case RecordVerdict::not_found: return "not found";
        case RecordVerdict::cannot_tell: return "cannot tell";
    }
    return "";
}

}  // namespace sondeline
