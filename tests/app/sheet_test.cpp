#include "app/sheet.h"

#include <doctest/doctest.h>
