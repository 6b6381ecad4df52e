#include "sondeline/deliverables.hpp"
