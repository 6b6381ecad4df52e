#include "intake/text.hpp"

#include <cstdint>
#include <memory>

#include <cpl_conv.h>
#include <cpl_string.h>

namespace sondeline {

namespace {

constexpr std::string_view kBlanks = " \t\r\n\f\v";
constexpr std::string_view kReplacement = "\xEF\xBF\xBD";

void append_utf8(std::string& out, std::uint32_t code) {
    const auto tail = [&](int shift) {
        out += static_cast<char>(0x80U | ((code >> static_cast<unsigned>(shift)) & 0x3FU));
    };
    if (code < 0x80) {
        out += static_cast<char>(code);
    } else if (code < 0x800) {
        out += static_cast<char>(0xC0U | (code >> 6U));
        tail(0);
    } else if (code < 0x10000) {
        out += static_cast<char>(0xE0U | (code >> 12U));
        tail(6);
        tail(0);
    } else {
        out += static_cast<char>(0xF0U | (code >> 18U));
        tail(12);
        tail(6);
        tail(0);
    }
}

// GDAL's recoding stops at the NUL bytes of which UTF-16 is full, so this one is ours. A surrogate
// without its partner becomes U+FFFD.
std::string from_utf16(std::string_view bytes, bool big_endian) {
    const auto unit = [&](std::size_t i) {
        const auto first = static_cast<unsigned char>(bytes[i]);
        const auto second = static_cast<unsigned char>(bytes[i + 1]);
        return static_cast<std::uint32_t>(big_endian ? first << 8U | second : second << 8U | first);
    };
    std::string out;
    for (std::size_t i = 0; i + 1 < bytes.size(); i += 2) {
        const std::uint32_t code = unit(i);
        const bool lead = code >= 0xD800 && code < 0xDC00;
        const std::uint32_t next = lead && i + 3 < bytes.size() ? unit(i + 2) : 0;
        if (next >= 0xDC00 && next < 0xE000) {
            append_utf8(out, 0x10000 + ((code - 0xD800) << 10U) + (next - 0xDC00));
            i += 2;
        } else {
            append_utf8(out, code >= 0xD800 && code < 0xE000 ? 0xFFFD : code);
        }
    }
    return out;
}

bool is_utf8(std::string_view text) {
    return CPLIsUTF8(text.data(), static_cast<int>(text.size())) != 0;
}

// Bytes of the UTF-8 character at the front; 0 when it is not valid.
std::size_t character_length(std::string_view text) {
    const auto lead = static_cast<unsigned char>(text.front());
    if (lead < 0x80) return 1;
    const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : lead >= 0xC2 ? 2 : 0;
    if (length == 0 || text.size() < length || !is_utf8(text.substr(0, length))) return 0;
    return length;
}

}  // namespace

std::optional<DecodedText> decode_text(std::string_view bytes) {
    DecodedText text;
    if (bytes.starts_with("\xFF\xFE")) {
        text.utf8 = from_utf16(bytes.substr(2), false);
    } else if (bytes.starts_with("\xFE\xFF")) {
        text.utf8 = from_utf16(bytes.substr(2), true);
    } else {
        if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
        text.utf8 = bytes;
    }
    if (text.utf8.find('\0') != std::string::npos) return std::nullopt;
    if (!is_utf8(text.utf8)) {
        const std::unique_ptr<char, decltype(&VSIFree)> recoded(
            CPLRecode(text.utf8.c_str(), "CP1252", CPL_ENC_UTF8), &VSIFree);
        if (!recoded) return std::nullopt;
        text.utf8 = recoded.get();
        text.from_latin = true;
    }
    return text;
}

std::string clean_utf8(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    while (!text.empty()) {
        const std::size_t length = character_length(text);
        const auto lead = static_cast<unsigned char>(text.front());
        const bool control = (lead < 0x20 && lead != '\n' && lead != '\t') || lead == 0x7F;
        if (length == 0) {
            out += kReplacement;
        } else if (control) {
            out += ' ';
        } else {
            out += text.substr(0, length);
        }
        text.remove_prefix(length == 0 ? 1 : length);
    }
    return out;
}

std::string_view table_word(std::string_view word) {
    // As they are said on site (common practice, no source).
    struct Other {
        std::string_view said;
        std::string_view word;
    };
    static constexpr Other others[] = {{"house", "building"},
                                       {"manhole", "junction"},
                                       {"clean out", "cleanout"},
                                       {"septic tank", "tank"},
                                       {"d box", "distribution box"},
                                       {"dbox", "distribution box"},
                                       {"dosing tank", "pump chamber"},
                                       {"lift station", "pump chamber"},
                                       {"dry well", "seepage pit"},
                                       {"benchmark", "reference"},
                                       {"corner", "reference"},
                                       {"house sewer", "building sewer"},
                                       {"leach line", "lateral"},
                                       {"lateral line", "lateral"},
                                       {"effluent pipe", "effluent line"},
                                       {"sewer", "other"},
                                       {"roots", "root"},
                                       {"belly", "standing water"},
                                       {"water", "standing water"},
                                       {"bend", "fitting"}};
    for (const Other& other : others) {
        if (other.said == word) return other.word;
    }
    return word;
}

std::string normalised(std::string_view text) {
    std::string out;
    for (const char c : lower_case(text)) {
        const bool gap = c == '-' || c == '_' || kBlanks.find(c) != std::string_view::npos;
        if (!gap) {
            out += c;
        } else if (!out.empty() && out.back() != ' ') {
            out += ' ';
        }
    }
    if (out.ends_with(' ')) out.pop_back();
    return out;
}

std::string lower_case(std::string_view text) {
    std::string out(text);
    for (char& c : out) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return out;
}

std::string shown(std::string_view text) {
    constexpr std::size_t kLongest = 60;
    std::string out = "'";
    std::size_t used = 0;
    while (!text.empty() && used < kLongest) {
        const std::size_t length = character_length(text);
        const char c = text.front();
        if (length == 0) {
            out += kReplacement;
        } else if (c == '\n' || c == '\t' || c == '\r') {
            out += ' ';
        } else {
            out += text.substr(0, length);
        }
        text.remove_prefix(length == 0 ? 1 : length);
        ++used;
    }
    return out + (text.empty() ? "'" : "…'");
}

std::string listed(const std::vector<std::string>& words) {
    std::string out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) out += i + 1 == words.size() ? " and " : ", ";
        out += words[i];
    }
    return out;
}

}  // namespace sondeline
