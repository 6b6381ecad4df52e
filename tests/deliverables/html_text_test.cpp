#include "deliverables/page/html_text.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

TEST(HtmlText, ShowsScriptsAsText) {
    EXPECT_EQ(escaped("<script>alert('x & \"y\"')</script>"),
              "&lt;script&gt;alert(&#39;x &amp; &quot;y&quot;&#39;)&lt;/script&gt;");
}

TEST(HtmlText, RoundsPixelsToATenth) {
    EXPECT_EQ(px(12.345), "12.3");
    EXPECT_EQ(px(-0.01), "0.0");
}

}  // namespace
}  // namespace sondeline
