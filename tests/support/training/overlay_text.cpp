#include "support/training/overlay_text.hpp"

#include <cctype>
#include <string_view>

#include "support/training/chance.hpp"

namespace sondeline::support {

namespace {

constexpr std::string_view digits = "0123456789";
// Letters that no typeface sets apart from digits (O, I, l, S, Z) are left out: which of the two
// they are is for the sequence to say; likewise those that an odd face draws like its 6, 8 or 9.
constexpr std::string_view letters = "ACEFHJKLMNPRTUVWXYacdefhjkmnprtuvwxy%#=()?*";

std::string number(cv::RNG& chance, int places) {
    std::string text;
    for (int i = 0; i < places; ++i) text += one_of(chance, digits);
    return text;
}

std::string unit(cv::RNG& chance) {
    constexpr std::string_view units[] = {"ft", "FT", "Ft", "m", "M", "'", " ft", " FT",
                                          " m", " M", "F",  "f", "",  "",  "m",   "ft"};
    return std::string(units[chance.uniform(0, static_cast<int>(std::size(units)))]);
}

std::string counter(cv::RNG& chance) {
    std::string whole = number(chance, whole_between(chance, 1, 5));
    if (happens(chance, 0.4)) {  // blank-padded
        for (std::size_t i = 0; i + 1 < whole.size() && happens(chance, 0.5); ++i) whole[i] = ' ';
    } else if (happens(chance, 0.4)) {  // zero-padded
        for (std::size_t i = 0; i + 1 < whole.size() && happens(chance, 0.6); ++i) whole[i] = '0';
    }
    if (happens(chance, 0.3)) whole.insert(0, 1, one_of(chance, "-+-"));
    if (happens(chance, 0.85)) {
        whole += happens(chance, 0.8) ? '.' : ',';
        whole += number(chance, whole_between(chance, 1, 2));
    }
    return whole;
}

std::string feet_and_inches(cv::RNG& chance) {
    return number(chance, whole_between(chance, 1, 3)) + (happens(chance, 0.5) ? "' " : "'") +
           number(chance, whole_between(chance, 1, 2)) + "\"";
}

std::string clock_or_date(cv::RNG& chance) {
    const char mark = one_of(chance, "::/-.");
    const std::string first = number(chance, happens(chance, 0.3) ? 4 : 2);
    return first + mark + number(chance, 2) + mark + number(chance, 2);
}

std::string nonsense(cv::RNG& chance, std::string_view alphabet) {
    std::string text;
    const int length = whole_between(chance, 4, 10);
    for (int i = 0; i < length; ++i) {
        const bool digit = happens(chance, 0.4);
        text += digit ? one_of(chance, digits) : one_of(chance, alphabet);
    }
    return text;
}

}  // namespace

std::string overlay_text(cv::RNG& chance, bool with_letters) {
    const double kind = between(chance, 0.0, 1.0);
    if (!with_letters) {
        return kind < 0.8 ? counter(chance) : nonsense(chance, "-. -.");
    }
    if (kind < 0.56) return counter(chance) + unit(chance);
    if (kind < 0.64) return feet_and_inches(chance);
    if (kind < 0.74) return clock_or_date(chance);
    if (kind < 0.90) return nonsense(chance, "-+.,:/'\"FTMftm -.:/'\"");
    return nonsense(chance, letters);
}

std::string next_text(cv::RNG& chance, std::string text) {
    int to_change = whole_between(chance, 1, 3);
    for (std::size_t i = text.size(); i-- > 0 && to_change > 0;) {
        if (std::isdigit(static_cast<unsigned char>(text[i])) == 0) continue;
        text[i] = one_of(chance, digits);
        --to_change;
    }
    return text;
}

Glyph glyph_of(char character) {
    if (character >= '0' && character <= '9') return static_cast<Glyph>(character - '0');
    switch (character) {
        case '-': return Glyph::minus;
        case '+': return Glyph::plus;
        case '.':
        case ',': return Glyph::point;
        case ':': return Glyph::colon;
        case '/': return Glyph::slash;
        case '\'': return Glyph::prime;
        case '"': return Glyph::double_prime;
        case 'F':
        case 'f': return Glyph::letter_f;
        case 'T':
        case 't': return Glyph::letter_t;
        case 'M':
        case 'm': return Glyph::letter_m;
        case ' ': return Glyph::blank;
        default: return Glyph::other_letter;
    }
}

}  // namespace sondeline::support
